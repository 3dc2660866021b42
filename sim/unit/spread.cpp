#include "sim/unit/spread.hpp"

#include "sim/world/random.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;

constexpr double kShare = 0.1;  // of the tolerance
constexpr double kMillion = 1e6;

double of_rail(const model::Board& board, model::RailId id, std::uint64_t seed) {
  for (const model::Rail& rail : board.rails) {
    if (rail.id != id || rail.origin == model::RailOrigin::kPassedThrough) continue;
    const double tolerance = static_cast<double>(rail.tolerance.count) / kMillion;
    return 1 + kShare * tolerance * world::noise(seed, static_cast<std::uint32_t>(id), 0);
  }
  return 1;
}

}  // namespace

Spread spread_of(const model::Kit& kit, std::uint64_t seed) {
  if (seed == 0) return {};
  constexpr std::uint32_t kSupply = 100;
  constexpr std::uint32_t kEnable = 101;
  Spread spread;
  const auto& supply = kit.supply.voltage;
  if (supply.nominal && supply.max && supply.nominal->count > 0) {
    const double band =
        static_cast<double>(supply.max->count) / static_cast<double>(supply.nominal->count) - 1;
    spread.supply = 1 + kShare * band * world::noise(seed, kSupply, 0);
  }
  spread.logic = of_rail(kit.board, model::RailId::kLogic, seed);
  spread.panel = of_rail(kit.board, model::RailId::kPanel, seed);
  spread.light = of_rail(kit.board, model::RailId::kLight, seed);
  spread.keypad = of_rail(kit.board, model::RailId::kKeypad, seed);
  const double tolerance = static_cast<double>(kit.board.light.enable_tolerance.count) / kMillion;
  spread.enable = 1 + kShare * tolerance * world::noise(seed, kEnable, 0);
  return spread;
}

}  // namespace sim::unit
