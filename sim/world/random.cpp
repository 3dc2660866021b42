#include "sim/world/random.hpp"

namespace sim::world {
namespace {

constexpr std::uint64_t kGolden = 0x9E3779B97F4A7C15;

constexpr std::uint64_t mix(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
  return z ^ (z >> 31);
}

constexpr double fraction(std::uint64_t bits) {
  return static_cast<double>(bits >> 11) * 0x1.0p-53;
}

}  // namespace

std::uint64_t Random::next() {
  state_ += kGolden;
  return mix(state_);
}

double Random::uniform() {
  return fraction(next());
}

double noise(std::uint64_t seed, std::uint32_t channel, std::int64_t tick) {
  const std::uint64_t place = mix(seed + kGolden * (channel + std::uint64_t{1}));
  return 2.0 * fraction(mix(place + kGolden * static_cast<std::uint64_t>(tick))) - 1.0;
}

}  // namespace sim::world
