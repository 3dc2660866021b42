#pragma once

#include <cstdint>

#include "host/model/panel.hpp"
#include "host/model/quantity.hpp"

namespace host::signal {

/// Bits a pair carries in one cycle of the link clock. Source: Open LVDS Display Interface 0.95, 5.4.
inline constexpr std::int64_t kBitsPerClock = 7;

/// Clock of one channel: the pixels are shared out among the channels in turn. Rounded down.
/// Precondition: channels > 0.
[[nodiscard]] constexpr model::Hertz link_clock(model::Hertz pixel_clock, int channels) {
  return {pixel_clock.count / channels};
}

/// Bit rate of one pair in kbit/s, rounded down. Source: Open LVDS Display Interface 0.95, 5.4.
[[nodiscard]] constexpr std::int64_t bit_rate_kbps(model::Hertz clock) {
  return clock.count * kBitsPerClock / 1000;
}

/// Data pairs of one channel, its clock pair not counted: seven bits a pair must hold three colours and three
/// controls.
[[nodiscard]] constexpr int data_pairs(model::Mapping mapping) {
  switch (mapping) {
    case model::Mapping::kRgb18: return 3;
    case model::Mapping::kVesa24:
    case model::Mapping::kJeida24: return 4;
    case model::Mapping::kVesa30:
    case model::Mapping::kJeida30: return 5;
  }
  return 0;
}

}  // namespace host::signal
