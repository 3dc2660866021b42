#include <set>

#include "host/expect/cable_drop.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/wire/gauge.hpp"

namespace host::expect {
namespace {

using model::FindingId;

void find_unknown_gauges(Findings& findings, const nets::Route& route) {
  std::set<std::string> told;
  for (const model::Cable::Wire& wire : route.cable.wires) {
    const auto gauge = wire::parse_gauge(wire.gauge);
    if (gauge || !told.insert(wire.gauge).second) continue;
    findings.push_back(
        nets::about_cable(route, FindingId::kCableGaugeUnknown, "AWG 26, 0.25 mm2", wire.gauge,
                          phrase("In the file of ", route.cable.about.id, ": ", gauge.error(), ".")));
  }
}

void find_drop(Findings& findings, const CableDrop& drop) {
  if (drop.at_load_min >= drop.load_min) return;
  model::Finding finding =
      model::make_finding(FindingId::kCableDrop, phrase("cables.", drop.cable),
                          phrase(">= ", to_text(drop.load_min)), to_text(drop.at_load_min));
  finding.consequence =
      phrase("Of ", drop.net, " ", to_text(drop.at_load_min), " may be left at the load, which takes ",
             to_text(drop.load_min), " at least: ", drop.why, ".");
  findings.push_back(std::move(finding));
}

}  // namespace

void find_net_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  const nets::Loads loads = cable_loads(kit, expectation.link, expectation.functions);
  for (const nets::Route& route : nets::routes(kit)) {
    for (model::Finding& finding : nets::judge(route, loads)) findings.push_back(std::move(finding));
    find_unknown_gauges(findings, route);
  }
  for (const CableDrop& drop : expectation.drops) find_drop(findings, drop);
}

}  // namespace host::expect
