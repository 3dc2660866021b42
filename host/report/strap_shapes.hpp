#pragma once

#include <cstdint>
#include <vector>

#include "host/report/document.hpp"

namespace host::report {

/// A strap standing somewhere: which kind it is, how it is set, and where its pins are.
struct StandingStrap {
  StrapDrawing::Kind kind = StrapDrawing::Kind::kJumper;
  int count = 0;              // pins or ways
  unsigned bits = 0;          // as on the wire
  unsigned care = 0;          // bits that matter; none: any position will do
  Spot pin_1;                 // centre of pin 1 or way 1
  std::int64_t pitch = 2540;  // micrometres from pin to pin
  int turn_degrees = 0;       // 0, 90, 180, 270, anticlockwise: where pin 2 is seen from pin 1
};

/// The strap as shapes.
///
/// A jumper is a row of pins, a cap a solid bar over the two it joins. A bank is a row of slots with a solid
/// slider towards on (left of the way from pin 1 to pin 2, marked ON) or off; a way that doesn't matter is
/// crossed out. A solid triangle points at pin 1 or way 1
/// from the right of that way. Counts outside 1..16 give nothing.
[[nodiscard]] std::vector<Shape> strap_shapes(const StandingStrap& strap);

/// A strap drawing enlarged, with pin numbers and nets: expected, and beside it the position read.
[[nodiscard]] Drawing drawn(const StrapDrawing& strap);

/// The position that a drawing's bits stand for: "open", "2-3", "10xx", "any".
[[nodiscard]] std::string position_words(StrapDrawing::Kind kind, int count, unsigned bits, unsigned care);

}  // namespace host::report
