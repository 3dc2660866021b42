#pragma once

#include <cstdint>
#include <vector>

#include "host/model/board.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

/// What a board with registers of its own has in those of one point.
///
/// Shape    one.words() words, as they stand in the table; a bit is 0 or 1.
/// Returns  the value divided by the register's scale, to the nearest (halves away from zero), and at the end
/// of
///          what the register can hold where it is beyond; of a text its letters, two a word, the first in
///          the high octet, NUL after them, cut where there is no more room. A text that is a number there:
///          the digits at its end, 0 without any. What isn't known reads 0, for such a board has no word for
///          it.
/// Source   the board's file; host/model/board.hpp says what its figures mean.
[[nodiscard]] std::vector<std::uint16_t> foreign_words(const host::model::ForeignRegister& one,
                                                       const Value& value);

}  // namespace sim::unit
