#pragma once

#include <cstddef>
#include <cstdint>

#include "protocol/base/time.hpp"

namespace protocol::rtu {

/// Above this the standard fixes the silences instead of counting characters.
inline constexpr std::uint32_t kBaudScaledMax = 19200;
inline constexpr base::Duration kFrameGapFixed = base::microseconds(1750);

/// The speed of a line and what follows from it.
/// Source  MODBUS over Serial Line V1.02, 2.5.1 (characters) and 2.5.1.1 (silences).
struct LineTiming {
  std::uint32_t baud = 19200;
  /// Start, data, parity and stop bits of one character: 11, or 10 for 8N1.
  std::uint8_t bits_per_character = 11;

  /// Time that `octets` take on the wire, rounded up. Precondition: baud > 0.
  [[nodiscard]] constexpr base::Duration wire_time(std::size_t octets) const {
    const std::int64_t bits = static_cast<std::int64_t>(octets) * bits_per_character;
    return base::Duration{(bits * 1'000'000 + baud - 1) / baud};
  }

  /// The silence between frames, t3.5: three and a half characters, 1.75 ms above 19200 Bd.
  [[nodiscard]] constexpr base::Duration frame_gap() const {
    if (baud > kBaudScaledMax) return kFrameGapFixed;
    const std::int64_t half_bits = std::int64_t{7} * bits_per_character;
    return base::Duration{(half_bits * 500'000 + baud - 1) / baud};
  }
};

}  // namespace protocol::rtu
