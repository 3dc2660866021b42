#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "protocol/points/point.hpp"

namespace protocol::points {

/// What people call a point. For programs that talk to people; a firmware needs none of it.
struct Words {
  std::string_view name;   // "group.name", the unit last, then the bound
  std::string_view unit;   // "mV", …, or text, choice, bits, count, index, word, version, strap
  std::string_view place;  // where in the circuit, or who says so
  std::string_view meaning;
  std::span<const std::string_view> choices;  // the values of a choice, from 0; empty for all others
};

struct Group {
  std::string_view name;
  std::uint16_t address;  // of its block
  std::string_view meaning;
};

/// Every point's words, indexed by Point; parallel to layouts().
[[nodiscard]] std::span<const Words, kPointCount> all_words();

/// The words of one point.
[[nodiscard]] const Words& words(Point point);

/// The groups in the order of their blocks.
[[nodiscard]] std::span<const Group> groups();

/// The point of that name ("rails.panel_out_mv"), or nothing.
[[nodiscard]] std::optional<Point> find(std::string_view name);

/// The name of one value of a choice, or empty when the point has no such choice.
[[nodiscard]] std::string_view choice(Point point, std::int64_t value);

}  // namespace protocol::points
