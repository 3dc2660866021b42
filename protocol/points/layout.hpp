#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "protocol/points/point.hpp"

namespace protocol::points {

/// What a firmware needs to know of a point: 8 octets and no words. The words stand in words.hpp, which a
/// server never refers to.
///
/// Frozen on the wire since profile 1.0: a minor version only appends points, so an image offset and an
/// address, once given, stay. tests/vectors/profile-1.0.csv holds what 1.0 is.

/// The value is the function code that reads the table.
enum class Table : std::uint8_t { kHolding = 3, kInput = 4 };

enum class Type : std::uint8_t { kU16, kS16, kU32, kText8, kText16, kText32 };

enum class Access : std::uint8_t {
  kRead,
  kArmed,   // written only by a session that is armed
  kControl  // written by anyone; changes no setting
};

inline constexpr std::uint16_t kNotInImage = 0xFFFF;

struct Layout {
  std::uint16_t address = 0;          // of the first register, in its table
  std::uint16_t image = kNotInImage;  // offset of the first register in the packed image
  Table table = Table::kInput;
  Type type = Type::kU16;
  std::int8_t scale = 0;  // value in the point's unit = raw x 10^scale
  Access access = Access::kRead;
};
static_assert(sizeof(Layout) == 8);

/// Registers that a value of this type takes: 1, 2, or 4, 8, 16 for texts of 8, 16, 32 octets.
[[nodiscard]] constexpr std::uint16_t register_count(Type type) {
  switch (type) {
    case Type::kU16:
    case Type::kS16: return 1;
    case Type::kU32: return 2;
    case Type::kText8: return 4;
    case Type::kText16: return 8;
    case Type::kText32: return 16;
  }
  return 1;
}

[[nodiscard]] constexpr bool is_text(Type type) {
  return type >= Type::kText8;
}

/// The packed image: input registers from here, all points without gaps, in the order of Point.
inline constexpr std::uint16_t kImageAddress = 0x1000;

/// A group's live points stand in one block of this many registers; unused addresses in it read 0.
inline constexpr std::uint16_t kGroupSpan = 0x40;

inline constexpr std::uint8_t kProfileMajor = 1;
inline constexpr std::uint8_t kProfileMinor = 0;

/// How many points each minor version has, by minor: a version's points are the first so many of Point.
/// Frozen; a new minor version appends its number.
inline constexpr std::array<std::uint16_t, kProfileMinor + 1> kPointsByMinor{113};
static_assert(kPointsByMinor.back() == kPointCount);

/// Every point's layout, indexed by Point.
[[nodiscard]] std::span<const Layout, kPointCount> layouts();

/// The layout of one point.
[[nodiscard]] const Layout& layout(Point point);

/// Registers in the packed image of this profile.
[[nodiscard]] std::uint16_t image_size();

/// The eight octets that stand for a layout when a profile's CRC is taken: address, image, table, type,
/// scale, access, words big-endian. 2B/0E object 0x83 has the CRC-16 over all points of each minor version,
/// from 0 on: four hexadecimal digits each, a space between.
[[nodiscard]] std::array<std::uint8_t, 8> octets(const Layout& layout);

}  // namespace protocol::points
