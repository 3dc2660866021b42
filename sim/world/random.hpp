#pragma once

#include <cstdint>

namespace sim::world {

/// A stream of pseudo-random numbers: the same seed gives the same stream on every machine.
/// Source  SplitMix64 (Steele, Lea, Flood: Fast Splittable Pseudorandom Number Generators, 2014).
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_{seed} {}

  [[nodiscard]] std::uint64_t next();

  /// 0 <= result < 1.
  [[nodiscard]] double uniform();

  /// True with this probability; draws a number in any case, so that two runs stay in step.
  [[nodiscard]] bool chance(double probability) { return uniform() < probability; }

 private:
  std::uint64_t state_;
};

/// A number in -1 <= result < 1 that belongs to this seed, channel and tick: noise that does not depend on
/// how often, or in what order, anyone looks.
[[nodiscard]] double noise(std::uint64_t seed, std::uint32_t channel, std::int64_t tick);

}  // namespace sim::world
