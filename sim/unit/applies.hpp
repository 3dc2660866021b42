#pragma once

#include <string>

#include "host/model/kit.hpp"
#include "sim/fault/fault.hpp"

namespace sim::unit {

/// Why a fault can't be in a unit of this kit, one sentence; empty when it can.
[[nodiscard]] std::string why_not(const host::model::Kit& kit, const fault::Fault& fault);

/// Data pairs of the panel's cable, all channels together; of eDP its lanes.
[[nodiscard]] int data_pairs(const host::model::Panel& panel);

/// The next position after `now` of another row of the strap's first function, or another position of it
/// where one row is all there is. Nothing: it can't stand otherwise.
[[nodiscard]] std::optional<host::model::Position> next_position(const host::model::Board& board,
                                                                 std::size_t strap,
                                                                 host::model::Position now);

/// The strap's position with one cap more, which joins what two rows join. Nothing: it has no room for one.
[[nodiscard]] std::optional<host::model::Position> doubled(const host::model::Board& board, std::size_t strap,
                                                           host::model::Position now);

/// The index of a strap, or nothing.
[[nodiscard]] std::optional<std::size_t> strap_index(const host::model::Board& board, std::string_view id);

}  // namespace sim::unit
