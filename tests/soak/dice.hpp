#pragma once

#include <cstdint>

#include "sim/world/random.hpp"

namespace tests::soak {

/// Seeded chance, in whole numbers.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : random_{seed} {}

  /// 0 <= result < bound. Precondition: bound > 0.
  [[nodiscard]] std::uint32_t below(std::uint32_t bound) {
    return static_cast<std::uint32_t>(((random_.next() >> 32) * bound) >> 32);
  }

  [[nodiscard]] std::uint64_t next() { return random_.next(); }

 private:
  sim::world::Random random_;
};

}  // namespace tests::soak
