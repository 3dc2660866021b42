#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "host/model/quantity.hpp"

namespace host::expect {

/// Steps between dark and full: timer clock / frequency, rounded down.
/// Precondition: frequency > 0.
[[nodiscard]] std::int64_t pwm_steps(model::Hertz clock, model::Hertz frequency);

/// Whole bits of that many steps, rounded down; 0 for none.
[[nodiscard]] int bits_of(std::int64_t steps);

/// The shorter of the two pulses of a duty, high or low, in nanoseconds; rounded down.
/// Precondition: frequency > 0, 0 <= duty <= 100 %.
[[nodiscard]] std::int64_t shortest_pulse_ns(model::Hertz frequency, model::PartsPerMillion duty);

/// How far the dimming frequency lies from the nearest multiple of the refresh rate, in millihertz: what
/// waves of brightness there are run at this rate. Precondition: refresh > 0.
[[nodiscard]] model::Millihertz beat(model::Hertz frequency, model::Millihertz refresh);

/// Where a light that is modulated fully stands. For lighting, not for displays: worth a note, no more.
enum class FlickerRegion { kNoObservableEffect, kLowRisk, kOutside };
[[nodiscard]] std::string_view to_text(FlickerRegion region);  // "low-risk"

/// Region of PWM that goes to zero, whose modulation is 100 % at any duty.
/// Source   IEEE 1789-2015, 8.1.1: below 90 Hz 0.025 % a hertz, from there 0.08 % a hertz is low risk, and a
///          third of it (0.0333 %) without observable effect; nothing limits above 1250 and 3000 Hz.
[[nodiscard]] FlickerRegion flicker_region(model::Hertz frequency);

}  // namespace host::expect
