#pragma once

#include <chrono>
#include <cstdint>

namespace protocol::base {

using Duration = std::chrono::duration<std::int64_t, std::micro>;

/// The clock of a link. It has no now(): whoever owns a real or a virtual clock passes the time in, so
/// nothing in protocol/ or sim/ can read it.
struct LinkClock {
  using duration = Duration;
  using rep = duration::rep;
  using period = duration::period;
  using time_point = std::chrono::time_point<LinkClock, duration>;
  static constexpr bool is_steady = true;
};

/// Microseconds on the caller's LinkClock; it never goes backwards.
using Instant = LinkClock::time_point;

constexpr Duration microseconds(std::int64_t count) {
  return Duration{count};
}
constexpr Duration milliseconds(std::int64_t count) {
  return Duration{count * 1000};
}

}  // namespace protocol::base
