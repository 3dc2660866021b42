#pragma once

#include <string>

#include "host/report/document.hpp"
#include "host/report/ink.hpp"

namespace host::report {

/// A strap drawn as expected beside as read, or one above the other where the page is too narrow.
///
/// A jumper is its row of pins: ○ bare, ● under a cap, the cap a frame round the pins it joins; numbers
/// below, pin 1 in brackets, nets below the numbers. A bank is a row of ways with the slider up (on) or down
/// (off); a way that doesn't matter is filled grey on both sides. What differs is pointed at from below and
/// said in words.
[[nodiscard]] std::string to_text(const StrapDrawing& strap, const Ink& ink);

}  // namespace host::report
