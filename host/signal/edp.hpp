#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "host/model/quantity.hpp"

namespace host::signal {

/// Bit rates a lane may run at, in kbit/s, ascending. Sources: DisplayPort 1.1a, 1.7.1 (1.62 and 2.7
/// Gbit/s), 1.2 (5.4), 1.3 (8.1).
inline constexpr std::array<std::int64_t, 4> kLaneRatesKbps = {1'620'000, 2'700'000, 5'400'000, 8'100'000};

/// Lanes a link may have.
inline constexpr std::array<int, 3> kLaneCounts = {1, 2, 4};

/// What the pixels need, in kbit/s, rounded up. Blanking is counted: the clock runs through it.
/// Precondition: bits_per_pixel > 0.
[[nodiscard]] constexpr std::int64_t pixel_rate_kbps(model::Hertz pixel_clock, int bits_per_pixel) {
  return (pixel_clock.count * bits_per_pixel + 999) / 1000;
}

/// What `lanes` carry of pixels, in kbit/s: eight of ten bits. Source: DisplayPort 1.1a, 1.7.1 (8b/10b).
[[nodiscard]] constexpr std::int64_t payload_kbps(int lanes, std::int64_t lane_rate_kbps) {
  return lanes * lane_rate_kbps * 8 / 10;
}

/// Lanes for a mode at one lane rate: the smallest count a link may have that carries it; none when four
/// don't.
[[nodiscard]] constexpr std::optional<int> lanes_needed(model::Hertz pixel_clock, int bits_per_pixel,
                                                        std::int64_t lane_rate_kbps) {
  for (const int lanes : kLaneCounts) {
    if (payload_kbps(lanes, lane_rate_kbps) >= pixel_rate_kbps(pixel_clock, bits_per_pixel)) return lanes;
  }
  return std::nullopt;
}

/// The lowest lane rate at which `lanes` carry a mode, in kbit/s; none when no rate does.
[[nodiscard]] constexpr std::optional<std::int64_t> lane_rate_needed_kbps(model::Hertz pixel_clock,
                                                                          int bits_per_pixel, int lanes) {
  for (const std::int64_t rate : kLaneRatesKbps) {
    if (payload_kbps(lanes, rate) >= pixel_rate_kbps(pixel_clock, bits_per_pixel)) return rate;
  }
  return std::nullopt;
}

}  // namespace host::signal
