#include "host/expect/budget.hpp"
#include "host/expect/functions.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using model::Finding;
using model::FindingId;
using model::Milliamps;
using model::Millivolts;
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

// A load that a rail hands the supply on to, in the supply's worst moments.
void find_passed_extremes(Findings& findings, const model::Kit& kit, model::RailId id, std::string_view name,
                          const model::Bounds<Millivolts>& window, Millivolts absolute_max) {
  const model::Rail* rail = kit.board.rail(id);
  if (rail == nullptr || rail->origin != model::RailOrigin::kPassedThrough) return;
  const auto& extremes = kit.supply.extremes;
  const bool high = extremes.max && window.max && *extremes.max > *window.max;
  const bool low = extremes.min && window.min && *extremes.min < *window.min;
  if (!high && !low) return;
  const bool destroyed = high && *extremes.max > absolute_max;
  findings.push_back(
      found(FindingId::kSupplyExtremes, destroyed ? Severity::kDanger : Severity::kWarning,
            phrase("rails.", name), limits_text(window), limits_text(extremes),
            phrase("The ", name, " rail is passed through and follows the supply's moments, ",
                   limits_text(extremes), "; its load takes ", limits_text(window), ", absolute maximum ",
                   to_text(absolute_max),
                   destroyed ? ": a surge destroys it." : ": it drops out or is stressed for moments.")));
}

void find_extremes(Findings& findings, const model::Kit& kit) {
  const auto& takes = kit.board.input_supply.voltage;
  const auto& extremes = kit.supply.extremes;
  const bool high = extremes.max && takes.max && *extremes.max > *takes.max;
  const bool low = extremes.min && takes.min && *extremes.min < *takes.min;
  if (high || low) {
    findings.push_back(
        found(FindingId::kSupplyExtremes, high ? Severity::kDanger : Severity::kWarning, "supply.extremes",
              limits_text(takes), limits_text(extremes),
              phrase("The supply dips and surges to ", limits_text(extremes), "; the board takes ",
                     limits_text(takes), high ? ": a surge can destroy it." : ": a dip restarts it.")));
  }
  find_passed_extremes(findings, kit, model::RailId::kPanel, "panel", kit.panel.supply.voltage,
                       kit.panel.supply.absolute_max);
  find_passed_extremes(findings, kit, model::RailId::kLight, "light", kit.panel.backlight.supply,
                       kit.panel.backlight.absolute_max);
}

// A fuse carries three quarters of its rating for long: UL 248-14 as it is commonly read.
void find_fuse(Findings& findings, std::string_view name, Milliamps fuse, Milliamps current) {
  if (fuse.count <= 0 || current.count * 4 <= fuse.count * 3) return;
  findings.push_back(
      found(FindingId::kFuseOverloaded, Severity::kWarning, phrase("fuses.", name),
            phrase("<= ", to_text(Milliamps{fuse.count * 3 / 4})), to_text(current),
            phrase("The ", name, " fuse is of ", to_text(fuse), " and carries ", to_text(current),
                   " at worst; 75 % of its rating is what it carries for long.")));
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
  find_extremes(findings, kit);
  find_power(findings, kit, expectation.supply);
  find_fuse(findings, "input", kit.board.input_supply.fuse, expectation.supply.current);
  if (const model::Rail* rail = kit.board.rail(model::RailId::kPanel)) {
    find_load(findings, *rail, "panel", kit.panel.supply.worst, "at worst", Severity::kFault);
    find_fuse(findings, "panel", rail->fuse, kit.panel.supply.worst);
    if (kit.panel.supply.worst <= rail->current_max) {
      find_load(findings, *rail, "panel", kit.panel.supply.inrush, "while it starts", Severity::kWarning);
    }
  }
  const model::Rail* rail = kit.board.rail(model::RailId::kLight);
  const auto current = light_current(kit, expectation.functions);
  if (rail != nullptr && current) {
    find_load(findings, *rail, "light", *current, "at full brightness and the rail's lowest voltage",
              Severity::kFault);
    find_fuse(findings, "light", rail->fuse, *current);
  }
  const model::Rail* keypad = kit.board.rail(model::RailId::kKeypad);
  if (kit.keypad && keypad != nullptr) {
    find_load(findings, *keypad, "keypad", kit.keypad->current, "at worst", Severity::kFault);
    find_fuse(findings, "keypad", keypad->fuse, kit.keypad->current);
  }
}

}  // namespace host::expect
