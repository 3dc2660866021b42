#include "protocol/rtu/crc.hpp"

#include <array>

namespace protocol::rtu {

namespace {

constexpr std::array<std::uint16_t, 256> make_table() {
  std::array<std::uint16_t, 256> table{};
  for (std::uint16_t octet = 0; octet < 256; ++octet) {
    std::uint16_t crc = octet;
    for (int bit = 0; bit < 8; ++bit) {
      const bool carry = (crc & 1U) != 0;
      crc = static_cast<std::uint16_t>(crc >> 1);
      if (carry) crc = static_cast<std::uint16_t>(crc ^ 0xA001U);
    }
    table[octet] = crc;
  }
  return table;
}

constexpr std::array<std::uint16_t, 256> kTable = make_table();

}  // namespace

std::uint16_t crc16(base::Octets octets) {
  std::uint16_t crc = 0xFFFF;
  for (const std::uint8_t octet : octets) {
    crc = static_cast<std::uint16_t>((crc >> 8) ^ kTable[(crc ^ octet) & 0xFFU]);
  }
  return crc;
}

}  // namespace protocol::rtu
