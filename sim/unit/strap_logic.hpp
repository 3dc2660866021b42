#pragma once

#include <optional>
#include <vector>

#include "host/model/kit.hpp"

namespace sim::unit {

/// Where every strap of a board stands, in the order of Board::straps.
using Positions = std::vector<host::model::Position>;

/// What a function's rows make of a joint position.
struct Selected {
  std::optional<host::model::FunctionValue> value;    // nothing: no row matches
  std::vector<host::model::FunctionValue> joined_by;  // with no value: two or more that caps tie together
};

/// Evaluates one function.
///
/// Returns   the value of the row that matches. When none does and the caps that are set contain the caps of
///           rows with different values, those values: the caps ask for all of them at once. Banks of
///           switches carry a code, so they never tie anything together.
/// Precondition: one position a strap of the board.
[[nodiscard]] Selected evaluate(const host::model::Board& board, const host::model::Function& function,
                                const Positions& positions);

/// What all straps together make of the board's hardware. Empty: the straps leave it open.
struct Selections {
  std::optional<double> panel_mv;  // ahead of the switch; what the supply gives when passed through
  std::optional<double> light_mv;
  std::optional<double> enable_mv;  // active level of the backlight's enable line
  std::optional<host::model::DimmingSense> sense;
  std::optional<host::model::Mapping> mapping;
  std::optional<host::model::RasterRow> raster;
  bool keypad = false;
};

/// Evaluates every function. Where the board has no strap for one it takes what the board file fixes, for the
/// raster what the firmware was set up for: the panel's own.
///
/// Rails tied together by caps take the highest of their voltages: a converter feeds current, it can't sink
/// it. Any other function with joined values is open.
[[nodiscard]] Selections resolve(const host::model::Kit& kit, const Positions& positions);

}  // namespace sim::unit
