#pragma once

#include "sim/unit/unit.hpp"

namespace sim::unit {

/// What the firmware says of a point of group rails.
[[nodiscard]] Value rail_value(const Unit& unit, protocol::points::Point point);
/// What it says of a point of group backlight.
[[nodiscard]] Value backlight_value(const Unit& unit, protocol::points::Point point);

/// The receiver and the rails ahead of their switches work as soon as the unit is not in standby.
[[nodiscard]] inline bool is_up(const Unit& unit) {
  return unit.firmware().drive().converters;
}

/// What is behind a switch can be measured while a picture or a message is shown.
[[nodiscard]] inline bool is_awake(const Unit& unit) {
  return unit.firmware().showing();
}

}  // namespace sim::unit
