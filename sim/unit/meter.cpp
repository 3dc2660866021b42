#include "sim/unit/meter.hpp"

#include <algorithm>
#include <cmath>

#include "sim/world/random.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::points::Point;

constexpr double kGainShare = 0.25;
constexpr double kGainShareAtEdge = 0.9;
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
    case Point::kBacklightPwmFrequencyHz:
      return value * static_cast<double>(board.light.frequency_uncertainty.count) / kMillion;
    case Point::kBacklightPwmDutyPermille:
      return kFullDutyPermille * static_cast<double>(board.light.duty_uncertainty.count) / kMillion;
    default: return 0;
  }
}

}  // namespace

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
  constexpr std::uint32_t kGainChannels = 0x1'0000;
  const double gain = within_ == Within::kEdge ? kGainShareAtEdge : kGainShare;
  const double error = gain * world::noise(seed_, channel + kGainChannels, 0) +
                       kNoiseShare * world::noise(seed_, channel, sample);
  return std::max<std::int64_t>(0, std::llround(value + uncertainty(board_, point, value) * error));
}

}  // namespace sim::unit
