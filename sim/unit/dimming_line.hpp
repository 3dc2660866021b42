#pragma once

#include "host/model/kit.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

inline constexpr double kDimmingHighMv = 3'300;  // high level of a PWM dimming line

/// The dimming line as it stands at the backlight connector.
struct DimmingLine {
  double duty = 0;  // high time over period
  double hertz = 0;
  double mv = 0;  // mean level
};

/// What the board's output stage makes of the duty its firmware asks for, 0..1, at `hertz`. A panel that is
/// dimmed by a voltage gets the board's level for `brightness` instead, turned round in the board's range
/// where the sense is low-is-brighter. `running` false: the line rests at 0.
[[nodiscard]] DimmingLine dimming_line(const host::model::Kit& kit, const Wrongs& wrongs, bool running,
                                       double duty, double hertz);

}  // namespace sim::unit
