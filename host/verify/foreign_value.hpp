#pragma once

#include <cstdint>
#include <span>

#include "host/model/board.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

/// What stands in the registers (or the bit) of a foreign board, as its file says they are to be read.
///
/// Shape    `words` holds one.words() registers as they came, a bit as 0 or 1; fewer read as kNotFitted.
/// Returns  a number in the point's unit, register x times / divided_by, rounded to the nearest; or a text,
///          up to its first NUL, without spaces at its end. There are no words that mean "unread".
[[nodiscard]] protocol::points::Reading foreign_reading(const model::ForeignRegister& one,
                                                        std::span<const std::uint16_t> words);

}  // namespace host::verify
