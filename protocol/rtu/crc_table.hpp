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

/// crc16() with a table of 2^kBits words: kBits is 4 or 8, the octets taken in so many bits at a time. Goes
/// on from `crc`, that of what stands ahead of them.
template <unsigned kBits>
[[nodiscard]] constexpr std::uint16_t crc16_by(base::Octets octets, std::uint16_t crc = 0xFFFF) {
  static_assert(kBits == 4 || kBits == 8);
  constexpr std::uint32_t kMask = (std::uint32_t{1} << kBits) - 1;
  std::uint32_t done = crc;
  for (const std::uint8_t octet : octets) {
    done ^= octet;
    for (unsigned bits = 0; bits < 8; bits += kBits) done = (done >> kBits) ^ kCrcTable<kBits>[done & kMask];
  }
  return static_cast<std::uint16_t>(done);
}

inline constexpr std::size_t kCrcBlock = 8;

/// What an octet does to the CRC that has 0 to 7 octets of its block behind it.
[[nodiscard]] constexpr std::array<std::array<std::uint16_t, 256>, kCrcBlock> make_crc_block_tables() {
  std::array<std::array<std::uint16_t, 256>, kCrcBlock> tables{};
  tables[0] = make_crc_table<8>();
  for (std::size_t behind = 1; behind < kCrcBlock; ++behind) {
    for (std::size_t value = 0; value < 256; ++value) {
      const std::uint32_t nearer = tables[behind - 1][value];
      tables[behind][value] = static_cast<std::uint16_t>((nearer >> 8) ^ tables[0][nearer & 0xFFU]);
    }
  }
  return tables;
}

inline constexpr auto kCrcBlockTables = make_crc_block_tables();

/// crc16() with eight tables of 256 words. The CRC is linear, so the octets of a block are looked up beside
/// each other instead of each behind the one before it.
[[nodiscard]] constexpr std::uint16_t crc16_by_blocks(base::Octets octets) {
  std::uint16_t crc = 0xFFFF;
  for (; octets.size() >= kCrcBlock; octets = octets.subspan(kCrcBlock)) {
    const auto first = static_cast<std::uint8_t>(octets[0] ^ (crc & 0xFFU));
    const auto second = static_cast<std::uint8_t>(octets[1] ^ (crc >> 8));
    crc = static_cast<std::uint16_t>(kCrcBlockTables[7][first] ^ kCrcBlockTables[6][second] ^
                                     kCrcBlockTables[5][octets[2]] ^ kCrcBlockTables[4][octets[3]] ^
                                     kCrcBlockTables[3][octets[4]] ^ kCrcBlockTables[2][octets[5]] ^
                                     kCrcBlockTables[1][octets[6]] ^ kCrcBlockTables[0][octets[7]]);
  }
  return crc16_by<8>(octets, crc);
}

}  // namespace protocol::rtu
