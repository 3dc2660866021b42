#pragma once

#include <optional>
#include <string>

#include "host/model/board.hpp"
#include "host/model/kit.hpp"
#include "host/model/quantity.hpp"

namespace host::expect {

/// The voltage a rail will have: its nominal value and the limits that the board (regulated) or the supply
/// (passed through) keeps to.
struct RailVoltage {
  model::Millivolts nominal, min, max;
  bool passed_through = false;
  std::string why;  // "5 V ±3 % = 4.85 V..5.15 V"
};

/// Of a rail that is set to one of its choices. One that is passed through follows the supply instead.
[[nodiscard]] RailVoltage rail_voltage(const model::Kit& kit, const model::Rail& rail,
                                       model::Millivolts choice);

/// Of a rail whose straps stand at `choice`, or that has no straps and only one choice. Nothing when neither
/// says what it will be.
[[nodiscard]] std::optional<RailVoltage> rail_voltage(const model::Kit& kit, const model::Rail& rail,
                                                      const std::optional<model::Millivolts>& choice);

}  // namespace host::expect
