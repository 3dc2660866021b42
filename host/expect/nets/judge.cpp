#include "host/expect/nets/judge.hpp"

#include <algorithm>
#include <utility>

#include "host/model/quantity_text.hpp"

namespace host::expect::nets {
namespace {

using model::FindingId;
using model::Severity;

constexpr std::int64_t kLvdsMbpsMetres = 500;
constexpr std::int64_t kEdpMbpsMetres = 1350;

Findings wire_by_wire(const Route& route, const Loads& loads, const std::vector<Lead>& leads) {
  Findings findings;
  find_power_faults(findings, route, loads, leads);
  if (carries_link(route, loads)) find_pair_faults(findings, route, loads, leads);
  find_signal_faults(findings, route, leads);
  return findings;
}

bool is_danger(const model::Finding& finding) {
  return finding.severity == Severity::kDanger;
}

// Both housings are tried the wrong way round; the first that does harm is told.
void find_unkeyed(Findings& findings, const Route& route, const Loads& loads) {
  for (const bool at_board : {true, false}) {
    const model::Connector& connector = at_board ? route.board : route.far;
    if (connector.keyed) continue;
    const Findings turned =
        wire_by_wire(route, loads, follow(route, {.board_turned = at_board, .far_turned = !at_board}));
    if (turned.empty()) continue;
    const auto harm = std::ranges::find_if(turned, is_danger);
    const model::Finding& told = harm == turned.end() ? turned.front() : *harm;
    findings.push_back(about_cable(route, FindingId::kCableNotKeyed, "one way round", "both ways round",
                                   std::string(at_board ? "The board's " : "The far ") + connector.id +
                                       " isn't keyed. Turned round: " + told.consequence));
  }
}

// Ends of one class go into either part.
void find_interchangeable(Findings& findings, const Route& route, const Loads& loads) {
  if (route.cable.board_family != route.cable.far_family) return;
  const Findings swapped = wire_by_wire(route, loads, follow(route, {.ends_swapped = true}));
  const auto harm = std::ranges::find_if(swapped, is_danger);
  if (harm == swapped.end()) return;
  findings.push_back(about_cable(route, FindingId::kCableNotKeyed, "two classes", route.cable.far_family,
                                 "Both ends of " + route.designator + " are a " + route.cable.far_family +
                                     "; the wrong end in the board: " + harm->consequence));
}

void find_too_long(Findings& findings, const Route& route, const Loads& loads) {
  if (!carries_link(route, loads) || loads.bit_rate_kbps <= 0) return;
  const bool lvds = loads.link.kind == model::LinkKind::kLvds;
  bool twisted = true;
  for (const Lead& lead : follow(route)) {
    const std::string& net = lead.far_net;
    const bool of_pair = !net.empty() && (net.back() == '-' || net.back() == '+');
    if (of_pair && route.cable.wires[lead.wire].pair.empty()) twisted = false;
  }
  std::int64_t product = lvds ? kLvdsMbpsMetres : kEdpMbpsMetres;  // Mbit/s x m
  if (!twisted) product /= 2;
  const std::int64_t limit_um = product * 1'000'000'000 / loads.bit_rate_kbps;
  if (route.cable.length.count <= limit_um) return;
  const model::Micrometres limit{limit_um / 1000 * 1000};
  model::Finding finding =
      about_cable(route, FindingId::kCableTooLong, "<= " + to_text(limit), to_text(route.cable.length),
                  route.designator + " is " + to_text(route.cable.length) + " long; at " +
                      std::to_string(loads.bit_rate_kbps) + " kbit/s a pair " + std::to_string(product) +
                      " Mbit/s x m allow " + to_text(limit) + " (common practice).");
  if (route.cable.length.count > 2 * limit_um) finding.severity = Severity::kFault;
  findings.push_back(std::move(finding));
}

void sort_by_severity(Findings& findings) {
  Findings sorted;
  sorted.reserve(findings.size());
  for (model::Finding& finding : findings) {
    const auto place = std::ranges::upper_bound(sorted, finding.severity, {}, &model::Finding::severity);
    sorted.insert(place, std::move(finding));
  }
  findings = std::move(sorted);
}

}  // namespace

bool carries_link(const Route& route, const Loads& loads) {
  return route.far_part == "panel" && route.far.family == loads.link.connector;
}

model::Finding about_cable(const Route& route, FindingId id, std::string expected, std::string actual,
                           std::string consequence) {
  model::Finding finding =
      model::make_finding(id, "cables." + route.designator, std::move(expected), std::move(actual));
  finding.consequence = std::move(consequence);
  return finding;
}

Findings judge(const Route& route, const Loads& loads) {
  Findings findings;
  if (!can_be_followed(route)) {
    const bool at_board = route.board.nets.empty();
    findings.push_back(about_cable(route, FindingId::kCableNotFollowed, "nets of both connectors", "none",
                                   "The file of the " + (at_board ? std::string("board") : route.far_part) +
                                       " names no nets of " + (at_board ? route.board.id : route.far.id) +
                                       ": " + route.designator + " was not followed."));
    return findings;
  }
  const std::vector<Lead> leads = follow(route);
  findings = wire_by_wire(route, loads, leads);
  std::vector<model::Finding> pattern = find_pattern(route, leads);
  if (!pattern.empty()) {
    std::erase_if(findings, [](const model::Finding& finding) { return !is_danger(finding); });
    model::Finding& named = pattern.front();
    if (!findings.empty()) {
      named.severity = Severity::kDanger;
      named.consequence += " " + findings.front().consequence;
    }
    findings.insert(findings.begin(), std::move(named));
  } else {
    find_unkeyed(findings, route, loads);
    find_interchangeable(findings, route, loads);
  }
  find_too_long(findings, route, loads);
  sort_by_severity(findings);
  return findings;
}

}  // namespace host::expect::nets
