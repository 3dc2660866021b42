#include <algorithm>

#include "host/expect/functions.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/rail_plan.hpp"
#include "host/expect/rows.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::Millivolts;

std::string offered(const model::Function& function) {
  std::vector<std::string> seen;
  std::string text;
  for (const model::FunctionRow& row : function.rows) {
    std::string value = to_text(row.value);
    if (std::ranges::find(seen, value) != seen.end()) continue;
    text += phrase(text.empty() ? "" : "; ", value);
    seen.push_back(std::move(value));
  }
  return text.empty() ? "nothing" : text;
}

std::string needed(const model::Kit& kit, model::FunctionId id) {
  const model::Panel& panel = kit.panel;
  switch (id) {
    case model::FunctionId::kPanelSupply: return limits_text(panel.supply.voltage);
    case model::FunctionId::kLightSupply: return limits_text(panel.backlight.supply);
    case model::FunctionId::kLightEnable:
      return limits_text(
          model::Bounds<Millivolts>{panel.backlight.enable.on_above, {}, panel.backlight.enable.max});
    case model::FunctionId::kDimmingSense: return std::string(to_text(panel.backlight.dimming.sense));
    case model::FunctionId::kBitMapping: return std::string(to_text(panel.link.mapping));
    case model::FunctionId::kRasterRow: return to_text(model::FunctionValue{needed_raster(panel)});
    case model::FunctionId::kKeypadPower: return "on";
    case model::FunctionId::kScanDirection: return "normal";
  }
  return {};
}

void add(Findings& findings, FindingId id, std::string subject, std::string expected, std::string actual,
         std::string consequence) {
  model::Finding finding =
      model::make_finding(id, std::move(subject), std::move(expected), std::move(actual));
  finding.consequence = std::move(consequence);
  findings.push_back(std::move(finding));
}

void find_fixed(Findings& findings, std::string subject, const std::string& wanted,
                const std::string& fixed) {
  add(findings, FindingId::kNoRow, std::move(subject), wanted, fixed,
      phrase("The board is fixed at ", fixed, "; this kit needs ", wanted, "."));
}

void find_fixed_rail(Findings& findings, const model::Kit& kit, model::RailId id, std::string_view name,
                     const model::Bounds<Millivolts>& window) {
  const model::Rail* rail = kit.board.rail(id);
  if (rail == nullptr) {
    return add(findings, FindingId::kNoRow, phrase("rails.", name), limits_text(window), "no such rail",
               phrase("The board has no ", name, " rail; this kit needs ", limits_text(window), "."));
  }
  const auto voltage = rail_voltage(kit, *rail, std::optional<Millivolts>{});
  if (!voltage || (window.contains(voltage->min) && window.contains(voltage->max))) return;
  const FindingId finding = voltage->passed_through ? FindingId::kSupplyUnsuited : FindingId::kNoRow;
  const std::string range = limits_text(model::Bounds<Millivolts>{voltage->min, {}, voltage->max});
  add(findings, finding, phrase("rails.", name), limits_text(window), range,
      phrase("The ", name, " rail is ", range,
             voltage->passed_through ? ", passed through from the supply" : "", "; its load takes ",
             limits_text(window), "."));
  // Too low works badly, too high destroys.
  if (window.contains(voltage->max)) findings.back().severity = model::Severity::kFault;
}

// What no strap selects is fixed; it must suit as it is.
void find_fixed_properties(Findings& findings, const model::Kit& kit) {
  const model::Board& board = kit.board;
  const model::Panel& panel = kit.panel;
  const auto strapped = [&](model::FunctionId id) { return board.function(id) != nullptr; };
  if (!strapped(model::FunctionId::kPanelSupply)) {
    find_fixed_rail(findings, kit, model::RailId::kPanel, "panel", panel.supply.voltage);
  }
  if (!strapped(model::FunctionId::kLightSupply)) {
    find_fixed_rail(findings, kit, model::RailId::kLight, "light", panel.backlight.supply);
  }
  if (kit.keypad) find_fixed_rail(findings, kit, model::RailId::kKeypad, "keypad", kit.keypad->voltage);
  const auto& level = board.light.enable_high;
  if (!strapped(model::FunctionId::kLightEnable) && level && !enables(kit, *level)) {
    find_fixed(findings, "functions.light-enable", needed(kit, model::FunctionId::kLightEnable),
               to_text(*level));
  }
  const auto& sense = board.light.sense;
  if (!strapped(model::FunctionId::kDimmingSense) && sense && *sense != panel.backlight.dimming.sense) {
    find_fixed(findings, "functions.dimming-sense", needed(kit, model::FunctionId::kDimmingSense),
               std::string(to_text(*sense)));
  }
  const auto& mapping = board.link.mapping;
  if (!strapped(model::FunctionId::kBitMapping) && mapping && *mapping != panel.link.mapping) {
    find_fixed(findings, "functions.bit-mapping", needed(kit, model::FunctionId::kBitMapping),
               std::string(to_text(*mapping)));
  }
}

bool unsolved(const model::Function& function, const Expectation& expectation) {
  const auto straps = straps_of(function);
  return std::ranges::any_of(straps, [&](std::size_t i) { return expectation.straps[i].accepted.empty(); });
}

}  // namespace

void find_unserved(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  std::string stuck;  // functions that are served alone and not together with the others
  for (std::size_t i = 0; i < kit.board.functions.size(); ++i) {
    const ExpectedFunction& expected = expectation.functions[i];
    if (!expected.used) continue;
    const model::Function& function = kit.board.functions[i];
    const std::string subject = phrase("functions.", to_text(expected.id));
    if (expected.accepted.empty()) {
      add(findings, FindingId::kNoRow, subject, needed(kit, expected.id), offered(function),
          phrase("This kit needs ", needed(kit, expected.id), "; the board's straps offer ",
                 offered(function), "."));
    } else if (unsolved(function, expectation)) {
      stuck += phrase(stuck.empty() ? "" : ", ", to_text(expected.id));
    }
  }
  const bool explained = std::ranges::any_of(
      findings, [](const model::Finding& finding) { return finding.id == FindingId::kNoRow; });
  if (!stuck.empty() && !explained) {
    add(findings, FindingId::kNoRow, phrase("functions.", stuck.substr(0, stuck.find(','))),
        "one joint position", "none",
        phrase("No joint position of the straps gives all of these what they need: ", stuck, "."));
  }
  find_fixed_properties(findings, kit);
}

}  // namespace host::expect
