#include "sim/unit/sequence_plan.hpp"

#include <algorithm>

#include "sim/world/random.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::base::Duration;
using Limits = model::Bounds<model::Microseconds>;

constexpr Duration kSupplyToSignal = protocol::base::milliseconds(20);
constexpr Duration kSignalToLight = protocol::base::milliseconds(200);
constexpr Duration kLightToNoSignal = protocol::base::milliseconds(200);
constexpr Duration kRest = protocol::base::milliseconds(1'000);

Duration middle(const Limits& limits, Duration otherwise) {
  if (limits.nominal) return Duration{limits.nominal->count};
  if (limits.min && limits.max) return Duration{(limits.min->count + limits.max->count) / 2};
  if (limits.min) return Duration{limits.min->count + limits.min->count / 4};
  if (limits.max) return Duration{limits.max->count / 2};
  return otherwise;
}

// Somewhere that both allow, a hundredth clear of the edges for what the measurement takes.
Duration anywhere(const Limits& panel, const Limits& board, Duration otherwise, double share) {
  if (!board.min || !board.max) return middle(panel, otherwise);
  std::int64_t low = board.min->count, high = board.max->count;
  if (panel.min) low = std::max(low, panel.min->count);
  if (panel.max) high = std::min(high, panel.max->count);
  if (low >= high) return middle(panel, otherwise);
  constexpr double kClear = 0.02;
  const double at = kClear + (1 - 2 * kClear) * share;
  return Duration{low + static_cast<std::int64_t>(at * static_cast<double>(high - low))};
}

}  // namespace

SequencePlan sequence_plan(const model::Kit& kit, std::uint64_t seed, Within within) {
  const model::Panel::Sequence& panel = kit.panel.sequence;
  SequencePlan plan{middle(panel.supply_to_signal, kSupplyToSignal),
                    middle(panel.signal_to_light, kSignalToLight),
                    middle(panel.light_to_no_signal, kLightToNoSignal), middle(panel.rest, kRest)};
  if (within == Within::kTypical || !kit.board.sequence) return plan;
  const model::Board::Sequence& board = *kit.board.sequence;
  constexpr std::uint32_t kChannel = 110;
  const auto share = [&](std::uint32_t which) { return (world::noise(seed, kChannel + which, 0) + 1) / 2; };
  plan.supply_to_signal = anywhere(panel.supply_to_signal, board.supply_to_signal, kSupplyToSignal, share(0));
  plan.signal_to_light = anywhere(panel.signal_to_light, board.signal_to_light, kSignalToLight, share(1));
  plan.light_to_no_signal =
      anywhere(panel.light_to_no_signal, board.light_to_no_signal, kLightToNoSignal, share(2));
  plan.rest = anywhere(panel.rest, board.rest, kRest, share(3));
  return plan;
}

}  // namespace sim::unit
