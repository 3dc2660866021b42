#include "host/signal/edid_range.hpp"

#include <algorithm>

namespace host::signal {
namespace {

// Line rate in millihertz, rate of frames or fields in millihertz, clock in kHz, all rounded to the nearest.
struct Rates {
  std::int64_t line, vertical, clock_khz;
};

Rates rates_of(const model::Timing& timing) {
  const std::int64_t h_total = std::max<std::int64_t>(timing.h_total().count, 1);
  return {(timing.pixel_clock.count * 1000 + h_total / 2) / h_total,
          timing.refresh().count * (timing.interlaced ? 2 : 1), (timing.pixel_clock.count + 500) / 1000};
}

// "59.940"
std::string thousandths(std::int64_t value) {
  return std::to_string(value / 1000) + '.' + std::to_string(value % 1000 + 1000).substr(1);
}

}  // namespace

std::string outside_range(const RangeLimits& limits, const model::Timing& timing) {
  const Rates rates = rates_of(timing);
  std::string why;
  const auto say = [&](const std::string& sentence) { why += (why.empty() ? "" : ", ") + sentence; };
  if (rates.vertical < limits.v_min_hz * 1000LL || rates.vertical > limits.v_max_hz * 1000LL) {
    say(thousandths(rates.vertical) + " Hz, limits " + std::to_string(limits.v_min_hz) + " to " +
        std::to_string(limits.v_max_hz));
  }
  if (rates.line < limits.h_min_khz * 1'000'000LL || rates.line > limits.h_max_khz * 1'000'000LL) {
    say(thousandths((rates.line + 500) / 1000) + " kHz, limits " + std::to_string(limits.h_min_khz) + " to " +
        std::to_string(limits.h_max_khz));
  }
  if (limits.pixel_clock_max_mhz != 0 && rates.clock_khz > limits.pixel_clock_max_mhz * 1000LL + 5000) {
    say(thousandths(rates.clock_khz) + " MHz, limit " + std::to_string(limits.pixel_clock_max_mhz));
  }
  return why;
}

RangeLimits limits_around(std::span<const model::Timing> timings) {
  RangeLimits limits;
  for (const model::Timing& timing : timings) {
    const Rates rates = rates_of(timing);
    const auto widen = [&](int& min, int& max, std::int64_t value, std::int64_t unit) {
      const int floor = static_cast<int>(value / unit);
      const int ceiling = static_cast<int>((value + unit - 1) / unit);
      min = min == 0 ? floor : std::min(min, floor);
      max = std::max(max, ceiling);
    };
    widen(limits.v_min_hz, limits.v_max_hz, rates.vertical, 1000);
    widen(limits.h_min_khz, limits.h_max_khz, rates.line, 1'000'000);
    limits.pixel_clock_max_mhz =
        std::max(limits.pixel_clock_max_mhz, static_cast<int>((rates.clock_khz + 9'999) / 10'000 * 10));
  }
  return limits;
}

}  // namespace host::signal
