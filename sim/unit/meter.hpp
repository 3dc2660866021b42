#pragma once

#include <cstdint>
#include <optional>

#include "host/model/board.hpp"
#include "protocol/points/point.hpp"
#include "sim/unit/spread.hpp"

namespace sim::unit {

/// The board's measuring channels: each has a gain error of its own and noise from sample to sample, together
/// within 0.3 of the uncertainty its board file admits (0.95 where parts lie up to the edge), and gives whole
/// units. Seed 0 measures exactly.
class Meter {
 public:
  Meter(const host::model::Board& board, std::uint64_t seed, Within within = Within::kTypical)
      : board_{board}, seed_{seed}, within_{within} {}

  /// What the channel of `point` reads at a true value, in the point's unit; never below 0.
  [[nodiscard]] std::int64_t read(protocol::points::Point point, double value, std::int64_t sample) const;

  /// The point is a voltage, a current, a temperature or a shape of the dimming line that a channel measures.
  [[nodiscard]] static bool measures(protocol::points::Point point);

 private:
  const host::model::Board& board_;
  std::uint64_t seed_;
  Within within_;
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
