#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "host/model/kit.hpp"
#include "protocol/points/point.hpp"
#include "sim/unit/spread.hpp"

namespace sim::unit {

/// The board's measuring channels: each has a gain error of its own and noise from sample to sample, together
/// within 0.3 of the uncertainty its board file admits, and gives whole units. Seed 0 measures exactly.
///
/// Within kEdge the error is any that lets a unit through a final check with its own channels: reading and
/// uncertainty together inside the part's tolerance.
class Meter {
 public:
  Meter(const host::model::Kit& kit, std::uint64_t seed, Within within, const Spread& spread);

  /// What the channel of `point` reads at a true value, in the point's unit; never below 0.
  [[nodiscard]] std::int64_t read(protocol::points::Point point, double value, std::int64_t sample) const;

  /// The point is a voltage, a current, a temperature or a shape of the dimming line that a channel measures.
  [[nodiscard]] static bool measures(protocol::points::Point point);

 private:
  const host::model::Board& board_;
  std::uint64_t seed_;
  std::array<double, protocol::points::kPointCount> errors_{};  // in shares of the uncertainty
};

/// The lowest and highest reading since power-up. The lowest counts only while the rail is on,
/// from the end of its ramp.
struct Extremes {
  std::optional<std::int64_t> min, max;

  void take(std::int64_t reading, bool on) {
    if (!max || reading > *max) max = reading;
    if (on && (!min || reading < *min)) min = reading;
  }
};

}  // namespace sim::unit
