#pragma once

#include <vector>

#include "sim/eye/fate.hpp"

namespace sim::eye {

/// What tint greys have taken on.
struct Tint {
  bool visible = false;  // 24 levels or more between the colours of a grey, on the mean
  bool same = false;     // all of them in one direction, to 45 degrees: a cast
};
[[nodiscard]] Tint tint_of(const std::vector<Fates::Grey>& greys);

/// A colour has become another: its hue is off by 30 degrees or more, or it has none left.
/// Source  HSV hexagon (A. R. Smith, Color Gamut Transform Pairs, 1978).
[[nodiscard]] bool hue_lost(host::signal::card::Rgb wanted, host::signal::card::Rgb became);

}  // namespace sim::eye
