#pragma once

#include <cstdint>

// Where a unit's registers stand; protocol/points/REGISTERS.md.

namespace tests::bench {

inline constexpr std::uint16_t kLatchAddress = 0x00A0;
inline constexpr std::uint16_t kImageAddress = 0x1000;
inline constexpr std::uint16_t kOwner = 0x00C5;

}  // namespace tests::bench
