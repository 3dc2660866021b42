#include "sim/unit/meter.hpp"

#include <algorithm>
#include <cmath>

#include "sim/world/random.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::points::Point;

constexpr double kGainShare = 0.25;
constexpr double kNoiseShare = 0.05;
constexpr double kMillion = 1e6;
constexpr double kFullDutyPermille = 1'000;

double share_of_rail(const model::Board& board, model::RailId id) {
  for (const model::Rail& rail : board.rails) {
    if (rail.id == id) return static_cast<double>(rail.uncertainty.count) / kMillion;
  }
  return 0;
}

// Half width of a reading's uncertainty at `value`, in the point's unit.
double uncertainty(const model::Board& board, Point point, double value) {
  switch (point) {
    case Point::kRailsSupplyInMv:
    case Point::kRailsSupplyInMa:
      return value * static_cast<double>(board.input_supply.uncertainty.count) / kMillion;
    case Point::kRailsLogicOutMv: return value * share_of_rail(board, model::RailId::kLogic);
    case Point::kRailsPanelSelectedMv:
    case Point::kRailsPanelOutMv:
    case Point::kRailsPanelOutMa: return value * share_of_rail(board, model::RailId::kPanel);
    case Point::kRailsLightOutMv:
    case Point::kRailsLightOutMa: return value * share_of_rail(board, model::RailId::kLight);
    case Point::kRailsKeypadOutMv:
    case Point::kRailsKeypadOutMa: return value * share_of_rail(board, model::RailId::kKeypad);
    case Point::kBacklightEnableMv: return static_cast<double>(board.light.enable_uncertainty.count);
    case Point::kBacklightDimmingMv: return static_cast<double>(board.light.level_uncertainty.count);
    case Point::kBacklightPwmFrequencyHz:
      return value * static_cast<double>(board.light.frequency_uncertainty.count) / kMillion;
    case Point::kBacklightPwmDutyPermille:
      return kFullDutyPermille * static_cast<double>(board.light.duty_uncertainty.count) / kMillion;
    default: return 0;
  }
}

// How far the part behind a channel is off, and how far it may be; 0 where nothing bounds it.
struct Deviation {
  double off = 0, tolerance = 0;
};

Deviation of_rail(const model::Kit& kit, model::RailId id, double factor, const Deviation& supply) {
  const model::Rail* rail = kit.board.rail(id);
  if (rail == nullptr) return {};
  if (rail->origin == model::RailOrigin::kPassedThrough) return supply;
  return {factor - 1, static_cast<double>(rail->tolerance.count) / kMillion};
}

Deviation deviation(const model::Kit& kit, const Spread& spread, Point point) {
  const Deviation supply{spread.supply - 1, supply_band(kit)};
  switch (point) {
    case Point::kRailsSupplyInMv: return supply;
    case Point::kRailsLogicOutMv: return of_rail(kit, model::RailId::kLogic, spread.logic, supply);
    case Point::kRailsPanelSelectedMv:
    case Point::kRailsPanelOutMv: return of_rail(kit, model::RailId::kPanel, spread.panel, supply);
    case Point::kRailsLightOutMv: return of_rail(kit, model::RailId::kLight, spread.light, supply);
    case Point::kRailsKeypadOutMv: return of_rail(kit, model::RailId::kKeypad, spread.keypad, supply);
    case Point::kBacklightEnableMv:
      return {spread.enable - 1, static_cast<double>(kit.board.light.enable_tolerance.count) / kMillion};
    default: return {};
  }
}

// A channel's error in shares of its uncertainty, for a unit whose parts lie anywhere inside their tolerances
// and that has passed a final check: reading and uncertainty together lie inside the tolerance (ISO
// 14253-1, 6.2), with a share to spare for noise and the drop under load.
double error_at_edge(const Deviation& part, double uncertainty, double chance) {
  constexpr double kMost = 0.9;
  constexpr double kSpare = 0.2;
  double low = -kMost, high = kMost;
  if (part.tolerance > 0 && uncertainty > 0) {
    const double room = part.tolerance - (1 + kSpare) * uncertainty;
    low = std::max(low, (-room - part.off) / uncertainty);
    high = std::min(high, (room - part.off) / uncertainty);
    // No room at all: as near the middle as it gets.
    if (low > high) return std::clamp(-part.off / uncertainty, -kMost, kMost);
  }
  return low + (high - low) * (chance + 1) / 2;
}

}  // namespace

Meter::Meter(const model::Kit& kit, std::uint64_t seed, Within within, const Spread& spread)
    : board_{kit.board}, seed_{seed} {
  constexpr std::uint32_t kGainChannels = 0x1'0000;
  constexpr double kUsualMv = 3'300;
  for (std::uint32_t channel = 0; channel < errors_.size(); ++channel) {
    const auto point = static_cast<Point>(channel);
    const double chance = world::noise(seed, channel + kGainChannels, 0);
    const double share = uncertainty(kit.board, point, kUsualMv) / kUsualMv;
    errors_[channel] = within == Within::kTypical
                           ? kGainShare * chance
                           : error_at_edge(deviation(kit, spread, point), share, chance);
  }
}

bool Meter::measures(Point point) {
  switch (point) {
    case Point::kRailsSupplyInMv:
    case Point::kRailsSupplyInMa:
    case Point::kRailsLogicOutMv:
    case Point::kRailsPanelSelectedMv:
    case Point::kRailsPanelOutMv:
    case Point::kRailsPanelOutMa:
    case Point::kRailsLightOutMv:
    case Point::kRailsLightOutMa:
    case Point::kRailsKeypadOutMv:
    case Point::kRailsKeypadOutMa: return true;
    default: break;
  }
  return point == Point::kBacklightEnableMv || point == Point::kBacklightPwmFrequencyHz ||
         point == Point::kBacklightPwmDutyPermille || point == Point::kBacklightDimmingMv ||
         point == Point::kThermalBoardMdegc;
}

std::int64_t Meter::read(Point point, double value, std::int64_t sample) const {
  if (seed_ == 0) return std::llround(value);
  const auto channel = static_cast<std::uint32_t>(point);
  const double error = errors_[channel] + kNoiseShare * world::noise(seed_, channel, sample);
  return std::max<std::int64_t>(0, std::llround(value + uncertainty(board_, point, value) * error));
}

}  // namespace sim::unit
