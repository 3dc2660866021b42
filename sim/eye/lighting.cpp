#include "sim/eye/lighting.hpp"

#include <algorithm>
#include <cmath>

namespace sim::eye {
namespace {

constexpr double kDim = 0.7, kGlaring = 1.2;
constexpr double kFlickerBelowHz = 90;
constexpr double kModulation = 0.05;
constexpr double kReddish = 0.8;
constexpr double kReversed = 0.1;
constexpr double kJump = 0.2;

// Pulses go to zero between, so that their modulation (Lmax - Lmin) / (Lmax + Lmin) is 1 but at full duty.
bool flickers(const Light& light) {
  return light.hertz > 0 && light.hertz < kFlickerBelowHz && 1 - light.duty > kModulation && light.duty > 0;
}

}  // namespace

double luminance(const Light& light) {
  if (!light.lit) return 0;
  return light.share * (kStrings - light.strings_dark) / kStrings * light.lamp;
}

std::vector<std::string_view> odd_light(const Light& light) {
  std::vector<std::string_view> words;
  if (!light.lit) return words;
  // Of what is lit: a dark string is a word of its own.
  const double ratio = light.share * light.lamp / std::max(light.wanted, 1e-3);
  if (ratio < kDim) words.emplace_back("dim");
  if (ratio > kGlaring) words.emplace_back("glaring");
  if (flickers(light)) words.emplace_back("flicker");
  if (light.strings_dark > 0) words.emplace_back("partly-lit");
  if (light.lamp < kReddish) words.emplace_back("reddish-light");
  if (light.knob.size() < 2) return words;
  if (light.knob.back() < light.knob.front() - kReversed) words.emplace_back("brightness-reversed");
  for (std::size_t i = 1; i < light.knob.size(); ++i) {
    if (std::abs(light.knob[i] - light.knob[i - 1]) > kJump) {
      words.emplace_back("brightness-jumps");
      break;
    }
  }
  return words;
}

}  // namespace sim::eye
