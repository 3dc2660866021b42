#include "sim/unit/spread.hpp"

#include <algorithm>

#include "sim/world/random.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;

constexpr double kTypicalShare = 0.1;  // of the tolerance
constexpr double kEdgeShare = 0.9;

double share_of_tolerance(Within within) {
  return within == Within::kEdge ? kEdgeShare : kTypicalShare;
}

constexpr double kMillion = 1e6;

double of_rail(const model::Board& board, model::RailId id, std::uint64_t seed, double share) {
  for (const model::Rail& rail : board.rails) {
    if (rail.id != id || rail.origin == model::RailOrigin::kPassedThrough) continue;
    const double tolerance = static_cast<double>(rail.tolerance.count) / kMillion;
    return 1 + share * tolerance * world::noise(seed, static_cast<std::uint32_t>(id), 0);
  }
  return 1;
}

}  // namespace

double supply_band(const model::Kit& kit) {
  const auto& supply = kit.supply.voltage;
  if (!supply.nominal || !supply.min || !supply.max || supply.nominal->count <= 0) return 0;
  const auto nominal = static_cast<double>(supply.nominal->count);
  return std::min(static_cast<double>(supply.max->count) / nominal - 1,
                  1 - static_cast<double>(supply.min->count) / nominal);
}

Spread spread_of(const model::Kit& kit, std::uint64_t seed, Within within) {
  if (seed == 0) return {};
  const double share = share_of_tolerance(within);
  constexpr std::uint32_t kSupply = 100;
  constexpr std::uint32_t kEnable = 101;
  Spread spread;
  spread.supply = 1 + share * supply_band(kit) * world::noise(seed, kSupply, 0);
  spread.logic = of_rail(kit.board, model::RailId::kLogic, seed, share);
  spread.panel = of_rail(kit.board, model::RailId::kPanel, seed, share);
  spread.light = of_rail(kit.board, model::RailId::kLight, seed, share);
  spread.keypad = of_rail(kit.board, model::RailId::kKeypad, seed, share);
  const double tolerance = static_cast<double>(kit.board.light.enable_tolerance.count) / kMillion;
  spread.enable = 1 + share * tolerance * world::noise(seed, kEnable, 0);
  return spread;
}

}  // namespace sim::unit
