#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "tests/soak/run.hpp"

namespace tests::soak {

/// A client with one guard missing, and what it is then.
struct Defect {
  std::string_view name;
  std::string_view what;
  Tally (*run)(std::uint64_t seed, std::uint64_t transactions);
};

/// The planted defects: the soak must count wrong values with each of them, or it would prove nothing
/// without.
[[nodiscard]] std::span<const Defect> defects();

}  // namespace tests::soak
