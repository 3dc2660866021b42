#include "protocol/session/arming.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

#include "protocol/rtu/crc.hpp"

namespace protocol::session {
namespace {

constexpr std::size_t kSerialMax = 32;
constexpr std::uint16_t kWordMax = 0xFFFC;
constexpr std::uint16_t kHighestBit = 0x8000;

}  // namespace

std::uint16_t arming_word(base::Octets serial, std::uint16_t boot) {
  std::array<std::uint8_t, kSerialMax + 2> octets{};
  const std::size_t size = std::min(serial.size(), kSerialMax);
  for (std::size_t i = 0; i < size; ++i) octets[i] = serial[i];
  octets[size] = static_cast<std::uint8_t>(boot >> 8);
  octets[size + 1] = static_cast<std::uint8_t>(boot & 0xFFU);
  const std::uint16_t word = rtu::crc16({octets.data(), size + 2});
  return word == kDisarm || word > kWordMax ? static_cast<std::uint16_t>(word ^ kHighestBit) : word;
}

}  // namespace protocol::session
