#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace protocol::rtu {

/// What `kBits` bits of message do to the CRC, for each value of theirs.
template <unsigned kBits>
[[nodiscard]] constexpr std::array<std::uint16_t, std::size_t{1} << kBits> make_crc_table() {
  std::array<std::uint16_t, std::size_t{1} << kBits> table{};
  for (std::size_t value = 0; value < table.size(); ++value) {
    std::uint32_t crc = static_cast<std::uint32_t>(value);
    for (unsigned bit = 0; bit < kBits; ++bit) crc = (crc >> 1) ^ ((crc & 1U) != 0 ? 0xA001U : 0U);
    table[value] = static_cast<std::uint16_t>(crc);
  }
  return table;
}

template <unsigned kBits>
inline constexpr auto kCrcTable = make_crc_table<kBits>();

/// crc16() with a table of 2^kBits words: kBits is 4 or 8, the octets taken in so many bits at a time.
template <unsigned kBits>
[[nodiscard]] constexpr std::uint16_t crc16_by(base::Octets octets) {
  static_assert(kBits == 4 || kBits == 8);
  constexpr std::uint32_t kMask = (std::uint32_t{1} << kBits) - 1;
  std::uint32_t crc = 0xFFFF;
  for (const std::uint8_t octet : octets) {
    crc ^= octet;
    for (unsigned bits = 0; bits < 8; bits += kBits) crc = (crc >> kBits) ^ kCrcTable<kBits>[crc & kMask];
  }
  return static_cast<std::uint16_t>(crc);
}

}  // namespace protocol::rtu
