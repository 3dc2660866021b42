#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

namespace protocol::base {

using Octets = std::span<const std::uint8_t>;
using OctetSink = std::span<std::uint8_t>;

/// Reads the 16-bit big-endian word at `at`. Precondition: at + 2 <= octets.size().
/// Source  MODBUS Application Protocol V1.1b3, 4.2 (big-endian).
[[nodiscard]] constexpr std::uint16_t read_be16(Octets octets, std::size_t at) {
  return static_cast<std::uint16_t>((octets[at] << 8) | octets[at + 1]);
}

/// Writes `word` big-endian at `at`. Precondition: at + 2 <= octets.size().
constexpr void write_be16(OctetSink octets, std::size_t at, std::uint16_t word) {
  octets[at] = static_cast<std::uint8_t>(word >> 8);
  octets[at + 1] = static_cast<std::uint8_t>(word & 0xFFU);
}

}  // namespace protocol::base
