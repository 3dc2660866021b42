#include "host/expect/dimming.hpp"

#include <algorithm>
#include <bit>

namespace host::expect {

std::int64_t pwm_steps(model::Hertz clock, model::Hertz frequency) {
  return clock.count / frequency.count;
}

int bits_of(std::int64_t steps) {
  return steps <= 0 ? 0 : static_cast<int>(std::bit_width(static_cast<std::uint64_t>(steps))) - 1;
}

std::int64_t shortest_pulse_ns(model::Hertz frequency, model::PartsPerMillion duty) {
  const std::int64_t share = std::min(duty.count, 1'000'000 - duty.count);
  return share * 1000 / frequency.count;
}

model::Millihertz beat(model::Hertz frequency, model::Millihertz refresh) {
  const std::int64_t millihertz = frequency.count * 1000;
  const std::int64_t over = millihertz % refresh.count;
  // Below the refresh rate itself there is no multiple but the first.
  if (millihertz < refresh.count) return {refresh.count - millihertz};
  return {std::min(over, refresh.count - over)};
}

std::string_view to_text(FlickerRegion region) {
  switch (region) {
    case FlickerRegion::kNoObservableEffect: return "no-observable-effect";
    case FlickerRegion::kLowRisk: return "low-risk";
    case FlickerRegion::kOutside: return "outside";
  }
  return "outside";
}

FlickerRegion flicker_region(model::Hertz frequency) {
  constexpr std::int64_t kLowRiskFrom = 1250;
  constexpr std::int64_t kNoEffectAbove = 3000;
  if (frequency.count > kNoEffectAbove) return FlickerRegion::kNoObservableEffect;
  return frequency.count >= kLowRiskFrom ? FlickerRegion::kLowRisk : FlickerRegion::kOutside;
}

}  // namespace host::expect
