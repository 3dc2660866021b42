#include "sim/eye/wiring.hpp"

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "sim/unit/applies.hpp"

namespace sim::eye {
namespace {

namespace model = host::model;
namespace signal = host::signal;
using fault::Kind;

// One wire of a pair: "B3-" is channel 1, pair 3, minus; the clock is the pair after the last.
struct End {
  int channel = 0;
  int pair = 0;
  bool clock = false;
  bool plus = false;
};

std::optional<End> end_of(std::string_view net) {
  if (net.size() < 3 || net.front() < 'A' || net.front() > 'D') return std::nullopt;
  if (net.back() != '-' && net.back() != '+') return std::nullopt;
  End end{net.front() - 'A', 0, false, net.back() == '+'};
  const std::string_view name = net.substr(1, net.size() - 2);
  if (name == "CLK") {
    end.clock = true;
    return end;
  }
  if (name.size() != 1 || name.front() < '0' || name.front() >= '0' + signal::kPairsMax) return std::nullopt;
  end.pair = name.front() - '0';
  return end;
}

const model::Connector* connector_of(const std::vector<model::Connector>& connectors, std::string_view key,
                                     std::string model::Connector::* by) {
  for (const model::Connector& connector : connectors) {
    if (connector.*by == key) return &connector;
  }
  return nullptr;
}

// What stands at both wires of a panel's pair.
struct Both {
  std::optional<End> minus, plus;
};
using Pairs = std::map<std::pair<int, int>, Both>;  // by channel and pair; -1 is the clock

Pairs followed(const model::Cable& cable, const model::Connector& board, const model::Connector& panel) {
  Pairs pairs;
  for (const auto& [pin, net] : panel.nets) {
    const auto far = end_of(net);
    if (!far) continue;
    Both& both = pairs[{far->channel, far->clock ? -1 : far->pair}];
    for (const model::Cable::Wire& wire : cable.wires) {
      if (wire.far_pin != pin) continue;
      const auto at = board.nets.find(wire.board_pin);
      if (at == board.nets.end()) continue;
      (far->plus ? both.plus : both.minus) = end_of(at->second);
    }
  }
  return pairs;
}

signal::LinkPath path_of(const Pairs& pairs, int channels) {
  signal::LinkPath path;
  path.channels = channels;
  path.clock_open.fill(true);
  for (const auto& [where, both] : pairs) {
    const auto [channel, pair] = where;
    if (channel >= channels) continue;
    const auto to = static_cast<std::size_t>(channel);
    const bool whole = both.minus && both.plus && both.minus->channel == both.plus->channel &&
                       both.minus->clock == both.plus->clock && both.minus->pair == both.plus->pair &&
                       both.minus->plus != both.plus->plus;
    if (!whole) continue;
    const bool crossed = both.minus->plus;
    if (pair < 0) {
      path.clock_open.at(to) = !both.minus->clock;
      path.clock_reversed.at(to) = crossed;
    } else if (!both.minus->clock && both.minus->channel < channels) {
      path.at.at(to).at(static_cast<std::size_t>(pair)) =
          signal::PairSource{both.minus->channel, both.minus->pair, crossed};
    }
  }
  return path;
}

}  // namespace

signal::LinkPath wired(const model::Kit& kit) {
  const model::Connector* board =
      connector_of(kit.board.connectors, kit.board.link.connector, &model::Connector::id);
  const model::Connector* panel =
      connector_of(kit.panel.connectors, kit.panel.link.connector, &model::Connector::family);
  const int channels = kit.panel.link.channels;
  if (board == nullptr || panel == nullptr) return signal::straight_path(channels);
  for (const auto& [name, cable] : kit.cables) {
    if (cable.board_family != board->family || cable.far_family != panel->family) continue;
    const Pairs pairs = followed(cable, *board, *panel);
    if (!pairs.empty()) return path_of(pairs, channels);
  }
  return signal::straight_path(channels);
}

signal::LinkPath wired(const model::Kit& kit, const unit::Wrongs& wrongs) {
  signal::LinkPath path = wired(kit);
  const int each = unit::data_pairs(kit.panel) / kit.panel.link.channels;
  if (wrongs.has(Kind::kPanelChannelsSwapped)) path = signal::with_channels_swapped(path, 0, 1);
  if (wrongs.has(Kind::kPanelPairOpen)) {
    const auto& pair = wrongs.argument<fault::Pair>(Kind::kPanelPairOpen);
    if (pair.clock) {
      path.clock_open[0] = true;
    } else {
      path = signal::with_pair_open(path, pair.index / each, pair.index % each);
    }
  }
  if (wrongs.has(Kind::kPanelPairReversed)) {
    const auto& pair = wrongs.argument<fault::Pair>(Kind::kPanelPairReversed);
    if (pair.clock) {
      path.clock_reversed[0] = !path.clock_reversed[0];
    } else {
      path = signal::with_pair_reversed(path, pair.index / each, pair.index % each);
    }
  }
  return path;
}

}  // namespace sim::eye
