#pragma once

#include <cstddef>
#include <cstdint>

#include "protocol/base/time.hpp"

namespace protocol::rtu {

/// Above this the standard fixes the silences instead of counting characters.
inline constexpr std::uint32_t kBaudScaledMax = 19200;
inline constexpr base::Duration kFrameGapFixed = base::microseconds(1750);
inline constexpr base::Duration kCharacterGapFixed = base::microseconds(750);

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

  /// Time of one character, rounded up. Precondition: baud > 0.
  [[nodiscard]] constexpr base::Duration character_time() const { return half_bits(2U * bits_per_character); }

  /// The silence between frames, t3.5: three and a half characters, 1.75 ms above 19200 Bd.
  [[nodiscard]] constexpr base::Duration frame_gap() const {
    return baud > kBaudScaledMax ? kFrameGapFixed : half_bits(7U * bits_per_character);
  }

  /// The longest pause inside a frame, t1.5: one and a half characters, 750 us above 19200 Bd.
  [[nodiscard]] constexpr base::Duration character_gap() const {
    return baud > kBaudScaledMax ? kCharacterGapFixed : half_bits(3U * bits_per_character);
  }

 private:
  // In 32 bits, so that a small target needs no wide division: at most 7 * 12 half bits.
  [[nodiscard]] constexpr base::Duration half_bits(std::uint32_t count) const {
    return base::Duration{(count * 500'000U + baud - 1) / baud};
  }
};

}  // namespace protocol::rtu
