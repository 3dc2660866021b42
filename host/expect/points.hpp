#pragma once

#include <optional>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/expect/point_list.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// Supply, rails and their currents, and the keypad at the end of one.
void add_rail_points(PointList& points, const model::Kit& kit,
                     const std::vector<ExpectedFunction>& functions);

/// Backlight enable, brightness and dimming.
void add_light_points(PointList& points, const model::Kit& kit,
                      const std::vector<ExpectedFunction>& functions);

/// The dimming voltage of a backlight that is dimmed by one, where the board gives one.
void add_analogue_points(PointList& points, const model::Kit& kit);

/// What the receiver must see, and what the board must drive into the panel link.
void add_video_points(PointList& points, const model::Kit& kit, const model::Timing& timing);

/// Identity, stamp, power state, latched faults and the settings that the kit names.
void add_unit_points(PointList& points, const model::Kit& kit);

/// The intervals of the power sequence, as the board last measured them.
void add_sequence_points(PointList& points, const model::Kit& kit);

/// High time of the dimming line at a brightness: the board's curve, straight between its points, turned over
/// when the panel is brighter the lower the line.
[[nodiscard]] model::PartsPerMillion duty_at(const model::Kit& kit, model::PartsPerMillion brightness);

/// Voltage of the dimming line at a brightness: the board's curve, straight between its points, taken at 100
/// % less the brightness when the panel is brighter the lower the line. Nothing when the board has no such
/// output.
[[nodiscard]] std::optional<model::Millivolts> level_at(const model::Kit& kit,
                                                        model::PartsPerMillion brightness);

/// The frequency the dimming line is to have: the one the kit names, else the board's own.
[[nodiscard]] model::Hertz pwm_frequency(const model::Kit& kit);

}  // namespace host::expect
