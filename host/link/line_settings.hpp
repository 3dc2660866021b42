#pragma once

#include <cstdint>
#include <string>

namespace host::link {

enum class Parity : std::uint8_t { kNone, kEven, kOdd };

/// How characters look on a serial line; eight data bits always, as RTU demands.
/// Source  MODBUS over Serial Line V1.02, 2.5.1: 19200 Bd, even parity and one stop bit are the default.
struct LineSettings {
  std::uint32_t baud = 19200;
  Parity parity = Parity::kEven;
  std::uint8_t stop_bits = 1;

  friend bool operator==(const LineSettings&, const LineSettings&) = default;
};

/// Two without parity, else one, so that a character has eleven bits.
/// Source  MODBUS over Serial Line V1.02, 2.5.1.
[[nodiscard]] constexpr std::uint8_t standard_stop_bits(Parity parity) {
  return parity == Parity::kNone ? 2 : 1;
}

/// Bits a character takes on the wire, start bit included: 10 or 11, 12 with parity and two stop bits.
[[nodiscard]] constexpr unsigned bits_per_character(const LineSettings& line) {
  return 1U + 8U + (line.parity == Parity::kNone ? 0U : 1U) + line.stop_bits;
}

/// "115200 Bd 8E1", as messages name it.
[[nodiscard]] std::string to_text(const LineSettings& line);

}  // namespace host::link
