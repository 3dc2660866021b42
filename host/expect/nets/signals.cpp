#include <algorithm>
#include <array>

#include "host/expect/nets/judge.hpp"
#include "host/expect/nets/net_name.hpp"

namespace host::expect::nets {
namespace {

using model::FindingId;
using model::Level;

// Signals without which the part at the far end does nothing, whether or not the board has them.
constexpr std::array<std::string_view, 3> kEssential = {"LIGHT_EN", "PWM", "DIM"};

const char* level_text(Level level) {
  return level == Level::kLow ? "low" : "high";
}

bool board_has(const Route& route, const std::string& net) {
  return !pins_of(route.board, net).empty();
}

void find_select(Findings& findings, const Route& route, int pin, const model::SelectPin& select,
                 const std::vector<Lead>& leads) {
  const std::string& net = route.far.nets.at(pin);
  const Lead* wired = nullptr;
  for (const Lead& lead : leads) {
    if (lead.far_pin == pin && !lead.board_net.empty()) wired = &lead;
  }
  if (wired != nullptr && wired->board_net == net) return;  // the board drives it; its straps say how
  Level level = select.open;
  std::string how = "open, which it takes as " + std::string(level_text(select.open));
  if (wired != nullptr) {
    const NetKind kind = kind_of(wired->board_net);
    if (kind == NetKind::kSupply) return;  // told as a danger
    if (kind == NetKind::kSignal || kind == NetKind::kPair) {
      findings.push_back(
          about_cable(route, FindingId::kCableSelectWrong, level_text(select.needs), wired->board_net,
                      route.designator + " brings " + wired->board_net + " to the select pin " + net +
                          " (far pin " + std::to_string(pin) + "), which wants a steady level."));
      return;
    }
    level = kind == NetKind::kGround ? Level::kLow : Level::kHigh;
    how = wired->board_net + ", " + level_text(level);
  }
  if (level == select.needs) return;
  findings.push_back(about_cable(
      route, FindingId::kCableSelectWrong, level_text(select.needs), how,
      "The select pin " + net + " (far pin " + std::to_string(pin) + ") stands at " + how +
          "; to be as the panel's file describes it, it needs " + level_text(select.needs) + "."));
}

void find_missing(Findings& findings, const Route& route, const std::string& net,
                  const std::vector<Lead>& leads) {
  const bool arrives = std::ranges::any_of(
      leads, [&](const Lead& lead) { return lead.far_net == net && lead.board_net == net; });
  if (arrives) return;
  const bool has = board_has(route, net);
  if (!has && std::ranges::find(kEssential, net) == kEssential.end()) return;
  findings.push_back(about_cable(route, FindingId::kCableSignalMissing, net, "no wire",
                                 has ? "No wire of " + route.designator + " brings " + net + " from " +
                                           route.board.id + " to " + route.far.id + "."
                                     : "The " + route.far_part + "'s " + route.far.id + " needs " + net +
                                           "; the board's " + route.board.id + " has no such net."));
}

}  // namespace

void find_signal_faults(Findings& findings, const Route& route, const std::vector<Lead>& leads) {
  for (const auto& [pin, select] : route.far.selects) find_select(findings, route, pin, select, leads);
  std::vector<std::string> told;
  for (const auto& [pin, net] : route.far.nets) {
    if (kind_of(net) != NetKind::kSignal || route.far.selects.contains(pin)) continue;
    if (std::ranges::find(told, net) != told.end()) continue;
    told.push_back(net);
    find_missing(findings, route, net, leads);
  }
  for (const Lead& lead : leads) {
    if (agree(lead.board_net, lead.far_net) || route.far.selects.contains(lead.far_pin)) continue;
    const NetKind near = kind_of(lead.board_net);
    const NetKind far = kind_of(lead.far_net);
    const bool fed = near == NetKind::kSupply || near == NetKind::kLevel || far == NetKind::kSupply ||
                     far == NetKind::kLevel;                             // told with the supplies
    const bool pairs = near == NetKind::kPair && far == NetKind::kPair;  // told with the pairs
    if (fed || pairs) continue;
    findings.push_back(about_cable(
        route, FindingId::kCableNetMisplaced, lead.board_net + " to " + lead.board_net,
        way_of(lead) + ": " + lead.board_net + " on " + lead.far_net,
        route.designator + " brings " + lead.board_net + " to " + lead.far_net + " (" + way_of(lead) + ")."));
  }
}

}  // namespace host::expect::nets
