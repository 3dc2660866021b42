#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "sim/unit/unit.hpp"

namespace tests::sim {

/// What a point should say: a range in its unit, or why nothing.
struct Expected {
  protocol::points::Point point{};
  std::int64_t min = 0, max = 0;
  bool unread = false;
  protocol::points::Unread why{};
};
[[nodiscard]] Expected is(protocol::points::Point point, std::int64_t value);
[[nodiscard]] Expected in(protocol::points::Point point, std::int64_t min, std::int64_t max);
[[nodiscard]] Expected none(protocol::points::Point point, protocol::points::Unread why);

/// The kit of elm_kit(), with a five-key keypad, and where a case needs it with lamps or two channels.
enum class Build { kUsual, kLamps, kTwoChannels };
[[nodiscard]] ::sim::unit::UnitSetup fault_setup(Build build = Build::kUsual);

/// One fault in one unit, and what a practitioner would find after ten seconds of power.
struct Consequence {
  std::string fault;
  std::vector<Expected> readings;
  Build build = Build::kUsual;
  std::function<void(::sim::unit::Unit&)> then{};  // something that must happen before it shows
  bool answers = true;
  bool counted = true;  // false: the effect isn't the unit's own
};

/// Puts it in, lives, checks readings and that the fault says it mattered; then mends it.
void check_consequence(const Consequence& expected);

}  // namespace tests::sim
