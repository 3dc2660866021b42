#pragma once

#include <string_view>
#include <vector>

#include "sim/eye/scene.hpp"

namespace sim::eye {

/// What is odd about the light, where there is some.
///
///   dim, glaring       less than 0.7 or more than 1.2 times what the kit wants
///   flicker            pulses below 90 Hz that take away 5 % or more of the light between them
///   partly-lit         a string is dark
///   reddish-light      lamps give less than 0.8 of a new one's
///   brightness-reversed   from the lowest to the highest setting it gets darker
///   brightness-jumps   one step of 5 % of the setting changes the light by 20 % of full
/// Source  90 Hz and 5 %: IEEE 1789-2015, 8.1.1; the others are common practice, no source.
[[nodiscard]] std::vector<std::string_view> odd_light(const Light& light);

/// What comes through, of full brightness: share x strings x lamp.
[[nodiscard]] double luminance(const Light& light);

}  // namespace sim::eye
