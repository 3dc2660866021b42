#pragma once

#include <chrono>

#include "protocol/base/time.hpp"

namespace sim::port {

/// The real clock as the lines see it, from when it was made; and as the units do, who live `speed` times as
/// fast from `start` on.
class Clock {
 public:
  Clock(protocol::base::Instant start, double speed) : start_{start}, speed_{speed} {}

  [[nodiscard]] protocol::base::Instant now() const {
    return kBegin +
           std::chrono::duration_cast<protocol::base::Duration>(std::chrono::steady_clock::now() - began_);
  }
  /// The units' time at an instant of the lines'.
  [[nodiscard]] protocol::base::Instant unit_time(protocol::base::Instant line) const {
    const auto passed = static_cast<double>((line - kBegin).count()) * speed_;
    return start_ + protocol::base::Duration{static_cast<std::int64_t>(passed)};
  }
  /// The first instant of the lines' at which the units' time has come.
  [[nodiscard]] protocol::base::Instant line_time(protocol::base::Instant unit) const {
    const auto passed = static_cast<double>((unit - start_).count()) / speed_;
    return kBegin + protocol::base::Duration{static_cast<std::int64_t>(passed) + 1};
  }

 private:
  static constexpr protocol::base::Instant kBegin = protocol::base::Instant{} + std::chrono::seconds{1};

  protocol::base::Instant start_;
  double speed_;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

}  // namespace sim::port
