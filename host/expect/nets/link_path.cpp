#include "host/expect/nets/link_path.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "host/expect/nets/net_name.hpp"

namespace host::expect::nets {

bool PairArrival::whole() const {
  return kind_of(minus) == NetKind::kPair && kind_of(plus) == NetKind::kPair &&
         pair_of(minus) == pair_of(plus) && minus != plus;
}

bool PairArrival::reversed() const {
  return whole() && minus.back() == '+';
}

std::vector<PairArrival> pair_arrivals(const Route& route, const std::vector<Lead>& leads) {
  std::map<std::string, PairArrival> pairs;
  for (const auto& [pin, net] : route.far.nets) {
    if (kind_of(net) != NetKind::kPair) continue;
    const std::string name(pair_of(net));
    PairArrival& arrival = pairs[name];
    arrival.pair = name;
    (net.back() == '-' ? arrival.minus_pin : arrival.plus_pin) = pin;
  }
  for (auto& [name, arrival] : pairs) {
    for (const Lead& lead : leads) {
      if (lead.board_net.empty()) continue;
      if (lead.far_pin == arrival.minus_pin) {
        arrival.minus = lead.board_net;
        arrival.minus_lead = &lead;
      } else if (lead.far_pin == arrival.plus_pin) {
        arrival.plus = lead.board_net;
        arrival.plus_lead = &lead;
      }
    }
  }
  std::vector<PairArrival> result;
  result.reserve(pairs.size());
  for (auto& [name, arrival] : pairs) result.push_back(std::move(arrival));
  return result;
}

std::optional<signal::LinkPath> link_path(const Route& route, const model::Panel::Link& link) {
  constexpr std::array<int, 3> kCounts = {1, 2, 4};
  if (link.kind != model::LinkKind::kLvds || route.far.family != link.connector) return std::nullopt;
  if (!can_be_followed(route) || std::ranges::find(kCounts, link.channels) == kCounts.end())
    return std::nullopt;
  signal::LinkPath path;
  path.channels = link.channels;
  const std::vector<Lead> leads = follow(route);
  for (const PairArrival& arrival : pair_arrivals(route, leads)) {
    const auto at = link_pair(arrival.pair);
    if (!at || at->channel >= link.channels) continue;
    const auto channel = static_cast<std::size_t>(at->channel);
    const auto from = arrival.whole() ? link_pair(pair_of(arrival.minus)) : std::nullopt;
    if (!at->lane) {
      path.clock_open[channel] = !from || from->lane.has_value();
      path.clock_reversed[channel] = arrival.reversed();
    } else if (from && from->lane && from->channel < link.channels) {
      path.at[channel][static_cast<std::size_t>(*at->lane)] =
          signal::PairSource{from->channel, *from->lane, arrival.reversed()};
    }
  }
  return path;
}

}  // namespace host::expect::nets
