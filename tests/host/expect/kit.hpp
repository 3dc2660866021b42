#pragma once

#include <string>
#include <string_view>

#include "host/expect/expectation.hpp"
#include "host/expect/straps.hpp"
#include "host/model/kit.hpp"

namespace tests {

/// A kit that is right on paper: panel marl (1280 x 800, one channel, jeida-24, 5 V, low-is-brighter) on
/// board larch, with BR1 panel supply, BR2 enable level, BR3 sense, BR4 mapping, BR5 keypad power (not
/// sensed), S1 (four ways) raster row.
[[nodiscard]] host::model::Kit sound_kit();

/// Its expectation; the kit must have a timing that exists.
[[nodiscard]] host::expect::Expectation expectation_of(const host::model::Kit& kit);

/// A joint position from texts: position_of(board, {{"BR1", "1-2"}}).
[[nodiscard]] host::expect::JointPosition position_of(
    const host::model::Board& board, const std::vector<std::pair<std::string, std::string>>& positions);

/// The point as expected, or nullptr.
[[nodiscard]] const host::expect::ExpectedPoint* find(const host::expect::Expectation& expectation,
                                                      protocol::points::Point point);

/// The strap of this id as expected, its positions as text: "1-2 2-3".
[[nodiscard]] std::string accepted(const host::model::Board& board,
                                   const std::vector<host::expect::ExpectedStrap>& straps,
                                   std::string_view id);

/// The finding of this kind, or nullptr.
[[nodiscard]] const host::model::Finding* find(const std::vector<host::model::Finding>& findings,
                                               host::model::FindingId id);

}  // namespace tests
