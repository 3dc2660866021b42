#include <algorithm>
#include <set>

#include "host/expect/nets/judge.hpp"
#include "host/expect/nets/net_name.hpp"
#include "host/model/quantity_text.hpp"

namespace host::expect::nets {
namespace {

using model::FindingId;
using model::Milliamps;
using model::Severity;

// A full housing takes this share of what one contact takes by itself: common practice.
constexpr model::PartsPerMillion kFullHousing{600'000};

bool feeds(NetKind kind) {
  return kind == NetKind::kSupply || kind == NetKind::kLevel;
}

// One wire between two nets of which one is a supply.
void find_misfed(Findings& findings, const Route& route, const Lead& lead) {
  if (lead.board_net == lead.far_net || lead.board_net.empty() || lead.far_net.empty()) return;
  const NetKind near = kind_of(lead.board_net);
  const NetKind far = kind_of(lead.far_net);
  if (!feeds(near) && !feeds(far)) return;
  if (near == NetKind::kLevel && route.far.selects.contains(lead.far_pin)) return;
  const std::string actual = way_of(lead) + ": " + lead.board_net + " on " + lead.far_net;
  if (near == NetKind::kGround || far == NetKind::kGround) {
    const std::string& supply = near == NetKind::kGround ? lead.far_net : lead.board_net;
    findings.push_back(about_cable(
        route, FindingId::kCableShort, lead.board_net + " to " + lead.board_net, actual,
        route.designator + " joins " + supply + " to ground (" + way_of(lead) + "): a short at power-on."));
    return;
  }
  const bool backwards = !feeds(near);
  findings.push_back(about_cable(
      route, FindingId::kCableSupplyOnSignal, lead.board_net + " to " + lead.board_net, actual,
      backwards ? route.designator + " brings the board's signal " + lead.board_net + " to the supply pins " +
                      lead.far_net + " (" + way_of(lead) + "): the supply destroys what drives it."
                : route.designator + " brings " + lead.board_net + " to " + lead.far_net + " (" +
                      way_of(lead) + "): what is behind that pin is destroyed at power-on."));
}

// Wires that meet at one pin tie their nets together.
void find_joined(Findings& findings, const Route& route, const std::vector<Lead>& leads) {
  for (const auto& [pin, ends] : by_far_pin(leads)) {
    std::set<std::string> nets;
    for (const Lead* lead : ends) {
      if (!lead->board_net.empty()) nets.insert(lead->board_net);
    }
    if (nets.size() < 2) continue;
    std::string text;
    bool fed = false;
    for (const std::string& net : nets) {
      text += (text.empty() ? "" : " and ") + net;
      fed |= feeds(kind_of(net));
    }
    model::Finding finding =
        about_cable(route, FindingId::kCableShort, "one net a pin", text,
                    route.designator + " joins " + text + " at far pin " + std::to_string(pin) + ".");
    if (!fed) finding.severity = Severity::kFault;
    findings.push_back(std::move(finding));
  }
}

// Contacts that carry a net at the end that has fewer of them.
int contacts(const std::vector<Lead>& leads, const std::string& net) {
  std::set<int> near;
  std::set<int> far;
  for (const Lead& lead : leads) {
    if (lead.board_net != net || lead.far_net != net) continue;
    near.insert(lead.board_pin);
    far.insert(lead.far_pin);
  }
  return static_cast<int>(std::min(near.size(), far.size()));
}

std::optional<Milliamps> rating(const Route& route) {
  const auto& near = route.board.contact_rating;
  const auto& far = route.far.contact_rating;
  if (near && far) return std::min(*near, *far);
  return near ? near : far;
}

void find_few_contacts(Findings& findings, const Route& route, const std::string& net, int count,
                       Milliamps current) {
  const auto rated = rating(route);
  if (!rated || count == 0) return;
  const Milliamps allowed{share_of(*rated, kFullHousing).count * count};
  if (current <= allowed) return;
  model::Finding finding = about_cable(
      route, FindingId::kCableContactsTooFew, "<= " + to_text(allowed), to_text(current),
      net + " takes " + to_text(current) + " through " + std::to_string(count) +
          (count == 1 ? " contact" : " contacts") + " of " + route.designator + ", each good for " +
          to_text(*rated) +
          " by itself and 60 % of it in a full housing (common practice): " + to_text(allowed) + ".");
  if (current.count <= rated->count * count) finding.severity = Severity::kWarning;
  findings.push_back(std::move(finding));
}

void find_unfed(Findings& findings, const Route& route, const Loads& loads, const std::vector<Lead>& leads) {
  std::set<std::string> supplies;
  Milliamps back;
  for (const auto& [pin, net] : route.far.nets) {
    if (kind_of(net) == NetKind::kSupply) supplies.insert(net);
  }
  for (const std::string& net : supplies) {
    const int count = contacts(leads, net);
    const auto load = loads.supply.find(net);
    const Milliamps current = load == loads.supply.end() ? Milliamps{} : load->second;
    back = back + current;
    if (count == 0) {
      findings.push_back(about_cable(route, FindingId::kCableSupplyMissing, net, "no wire",
                                     "No wire of " + route.designator + " brings " + net + " to the " +
                                         route.far_part + "'s " + route.far.id + ": it stays dead."));
    }
    find_few_contacts(findings, route, net, count, current);
  }
  if (pins_of(route.far, "GND").empty()) return;
  const int count = contacts(leads, "GND");
  if (count == 0) {
    findings.push_back(about_cable(route, FindingId::kCableGroundMissing, "GND", "no wire",
                                   "No wire of " + route.designator + " joins GND of board and " +
                                       route.far_part +
                                       ": the current looks for a way back through signal pins."));
  }
  find_few_contacts(findings, route, "GND", count, back);
}

}  // namespace

void find_power_faults(Findings& findings, const Route& route, const Loads& loads,
                       const std::vector<Lead>& leads) {
  for (const Lead& lead : leads) find_misfed(findings, route, lead);
  find_joined(findings, route, leads);
  find_unfed(findings, route, loads, leads);
}

}  // namespace host::expect::nets
