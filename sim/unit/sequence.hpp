#pragma once

#include <optional>

#include "protocol/base/time.hpp"
#include "sim/unit/circuit.hpp"

namespace sim::unit {

/// Intervals of the last power-up and power-down as they were at the board's outputs. Empty: one of the two
/// edges has not come yet.
struct Intervals {
  std::optional<protocol::base::Duration> supply_rise;         // 10 % to 90 % of the selected voltage
  std::optional<protocol::base::Duration> supply_to_signal;    // 90 % to link on
  std::optional<protocol::base::Duration> signal_to_light;     // link on to backlight on
  std::optional<protocol::base::Duration> light_to_no_signal;  // backlight off to link off
  std::optional<protocol::base::Duration> rest;                // below 10 % to above 10 % again
};

/// Watches the outputs step by step and takes the time between their edges, to one kStep.
class SequenceWatch {
 public:
  void observe(const Levels& levels, const Drive& drive, protocol::base::Instant now);
  [[nodiscard]] const Intervals& intervals() const { return intervals_; }

 private:
  using Edge = std::optional<protocol::base::Instant>;
  Intervals intervals_;
  Edge rail_10_, rail_90_, link_on_, light_off_, rail_off_;
  bool was_10_ = false, was_90_ = false, was_link_ = false, was_light_ = false;
};

}  // namespace sim::unit
