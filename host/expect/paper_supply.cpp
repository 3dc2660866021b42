#include "host/expect/budget.hpp"
#include "host/expect/functions.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using model::Finding;
using model::FindingId;
using model::Milliamps;
using model::Severity;

Finding found(FindingId id, Severity severity, std::string subject, std::string expected, std::string actual,
              std::string consequence) {
  Finding finding = model::make_finding(id, std::move(subject), std::move(expected), std::move(actual));
  finding.severity = severity;
  finding.consequence = std::move(consequence);
  return finding;
}

void find_window(Findings& findings, const model::Kit& kit) {
  const auto& takes = kit.board.input_supply.voltage;
  const auto& gives = kit.supply.voltage;
  const bool high = gives.max && takes.max && *gives.max > *takes.max;
  const bool low = gives.min && takes.min && *gives.min < *takes.min;
  if (!high && !low) return;
  findings.push_back(
      found(FindingId::kSupplyUnsuited, high ? Severity::kDanger : Severity::kFault, "supply.voltage",
            limits_text(takes), limits_text(gives),
            phrase("The supply gives ", limits_text(gives), ", the board takes ", limits_text(takes),
                   high ? ": the board can be destroyed." : ": the board restarts or stays off.")));
}

void find_power(Findings& findings, const model::Kit& kit, const SupplyNeed& need) {
  if (need.power.count * 10 <= kit.supply.power.count * 8) return;
  const bool over = need.power > kit.supply.power;
  findings.push_back(found(
      FindingId::kSupplyTooSmall, over ? Severity::kFault : Severity::kWarning, "supply.power",
      phrase(">= ", to_text(need.recommended_power)), to_text(kit.supply.power),
      phrase("The kit draws ", to_text(need.power), " at worst from a supply of ", to_text(kit.supply.power),
             over ? ": it restarts under load."
                  : "; more than 80 % of it for long ages the supply (common practice).")));
}

void find_load(Findings& findings, const model::Rail& rail, std::string_view name, Milliamps current,
               std::string_view when, Severity severity) {
  if (current <= rail.current_max) return;
  findings.push_back(found(FindingId::kRailOverloaded, severity, phrase("rails.", name),
                           phrase("<= ", to_text(rail.current_max)), to_text(current),
                           phrase("The ", name, " rail gives ", to_text(rail.current_max),
                                  "; its load draws ", to_text(current), " ", when, ".")));
}

}  // namespace

void find_supply_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  find_window(findings, kit);
  find_power(findings, kit, expectation.supply);
  if (const model::Rail* rail = kit.board.rail(model::RailId::kPanel)) {
    find_load(findings, *rail, "panel", kit.panel.supply.worst, "at worst", Severity::kFault);
    if (kit.panel.supply.worst <= rail->current_max) {
      find_load(findings, *rail, "panel", kit.panel.supply.inrush, "while it starts", Severity::kWarning);
    }
  }
  const model::Rail* rail = kit.board.rail(model::RailId::kLight);
  const auto current = light_current(kit, expectation.functions);
  if (rail != nullptr && current) {
    find_load(findings, *rail, "light", *current, "at full brightness and the rail's lowest voltage",
              Severity::kFault);
  }
}

}  // namespace host::expect
