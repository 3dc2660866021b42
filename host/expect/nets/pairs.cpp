#include <algorithm>
#include <set>

#include "host/expect/nets/judge.hpp"
#include "host/expect/nets/link_path.hpp"
#include "host/expect/nets/net_name.hpp"
#include "host/signal/lvds.hpp"

namespace host::expect::nets {
namespace {

using model::FindingId;

// Does the panel use this pair of its connector? Pairs with other names are no lanes of LVDS; they count.
bool used(const Loads& loads, const std::string& pair) {
  const auto place = link_pair(pair);
  if (!place || loads.link.kind != model::LinkKind::kLvds) return true;
  if (place->channel >= loads.link.channels) return false;
  return !place->lane || *place->lane < signal::data_pairs(loads.link.mapping);
}

std::string wires_text(const PairArrival& arrival) {
  return net_text(arrival.minus) + " on " + arrival.pair + "-, " + net_text(arrival.plus) + " on " +
         arrival.pair + "+";
}

// The channel whose lane of the same number arrives here; -1 when it is another lane, or no whole pair.
int channel_of(const PairArrival& arrival) {
  const auto at = link_pair(arrival.pair);
  const auto from = arrival.whole() ? link_pair(pair_of(arrival.minus)) : std::nullopt;
  return at && from && at->lane == from->lane ? from->channel : -1;
}

// Channels that come whole from another one.
std::set<int> crossed_channels(const std::vector<PairArrival>& arrivals, const Loads& loads) {
  std::set<int> crossed;
  for (int channel = 0; channel < loads.link.channels; ++channel) {
    std::set<int> from;
    int data = 0;
    for (const PairArrival& arrival : arrivals) {
      const auto at = link_pair(arrival.pair);
      if (!at || at->channel != channel || !at->lane || !used(loads, arrival.pair)) continue;
      from.insert(channel_of(arrival));
      ++data;
    }
    if (data > 1 && from.size() == 1 && *from.begin() != channel && *from.begin() >= 0)
      crossed.insert(channel);
  }
  return crossed;
}

void find_open(Findings& findings, const Route& route, const PairArrival& arrival) {
  const auto at = link_pair(arrival.pair);
  const bool clock = at && !at->lane;
  findings.push_back(about_cable(route, clock ? FindingId::kCableClockMissing : FindingId::kCablePairOpen,
                                 arrival.pair, wires_text(arrival),
                                 clock ? "The clock pair " + arrival.pair + " doesn't arrive through " +
                                             route.designator + " (" + wires_text(arrival) +
                                             "): the panel never locks on this channel."
                                       : "The pair " + arrival.pair + " doesn't arrive through " +
                                             route.designator + " (" + wires_text(arrival) + ")."));
}

void find_crossed(Findings& findings, const Route& route, const PairArrival& arrival) {
  const bool mixed = !arrival.whole();
  findings.push_back(about_cable(
      route, FindingId::kCablePairsCrossed, arrival.pair, wires_text(arrival),
      mixed ? "The two wires of " + arrival.pair + " come from two pairs (" + wires_text(arrival) + ")."
            : "The pair " + std::string(pair_of(arrival.minus)) + " of the board arrives as " + arrival.pair +
                  " (far pins " + std::to_string(arrival.minus_pin) + " and " +
                  std::to_string(arrival.plus_pin) + ")."));
}

void find_reversed(Findings& findings, const Route& route, const PairArrival& arrival) {
  findings.push_back(about_cable(
      route, FindingId::kCablePairReversed, arrival.pair + "- on " + arrival.pair + "-", wires_text(arrival),
      "The wires of " + arrival.pair + " are exchanged (far pins " + std::to_string(arrival.minus_pin) +
          " and " + std::to_string(arrival.plus_pin) + "): every bit of it arrives inverted."));
}

void find_split(Findings& findings, const Route& route, const PairArrival& arrival) {
  const std::string& minus = route.cable.wires[arrival.minus_lead->wire].pair;
  const std::string& plus = route.cable.wires[arrival.plus_lead->wire].pair;
  if (minus == plus) return;
  findings.push_back(about_cable(
      route, FindingId::kCablePairSplit, "one twisted pair", net_text(minus) + " and " + net_text(plus),
      "The wires of " + arrival.pair + " are not twisted with each other in " + route.designator + "."));
}

void find_channels_crossed(Findings& findings, const Route& route, const std::set<int>& crossed) {
  std::string text;
  for (const int channel : crossed) {
    text += (text.empty() ? "" : ", ") + std::string(1, static_cast<char>('A' + channel));
  }
  findings.push_back(about_cable(route, FindingId::kCableChannelsCrossed, "each channel on its own pins",
                                 "crossed: " + text,
                                 "The channels " + text + " of the panel get each other's pairs through " +
                                     route.designator + ": neighbouring columns change places."));
}

}  // namespace

void find_pair_faults(Findings& findings, const Route& route, const Loads& loads,
                      const std::vector<Lead>& leads) {
  const std::vector<PairArrival> arrivals = pair_arrivals(route, leads);
  const std::set<int> crossed = crossed_channels(arrivals, loads);
  if (!crossed.empty()) find_channels_crossed(findings, route, crossed);
  for (const PairArrival& arrival : arrivals) {
    if (!used(loads, arrival.pair)) continue;
    const bool known = kind_of(arrival.minus) == NetKind::kPair && kind_of(arrival.plus) == NetKind::kPair;
    if (!known || arrival.minus == arrival.plus) {
      find_open(findings, route, arrival);
      continue;
    }
    if (arrival.whole()) find_split(findings, route, arrival);
    const auto at = link_pair(arrival.pair);
    const bool told = at && crossed.contains(at->channel);
    const bool own = arrival.whole() && pair_of(arrival.minus) == arrival.pair;
    if (!own && !told) find_crossed(findings, route, arrival);
    if (arrival.reversed()) find_reversed(findings, route, arrival);
  }
}

}  // namespace host::expect::nets
