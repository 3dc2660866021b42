#pragma once

#include <string>
#include <vector>

#include "sim/unit/unit.hpp"

namespace tests::sim {

/// What a person sees of a unit, as words in one line: "picture dim, always".
[[nodiscard]] std::string seen_text(const ::sim::unit::Unit& unit);

/// The kit of elm_kit() with a keypad of five keys; its shelf has the panel "small", 1024 x 768, and the kit
/// "dim", which wants 40 % of brightness.
[[nodiscard]] ::sim::unit::UnitSetup seen_setup();

/// A fault, and what is seen ten seconds after power.
struct SeenCase {
  std::string fault;
  std::string seen;
  std::vector<std::string> damaged{};
};

void check_seen(const std::vector<SeenCase>& cases, const ::sim::unit::UnitSetup& setup = seen_setup());

}  // namespace tests::sim
