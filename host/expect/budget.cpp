#include "host/expect/budget.hpp"

#include <algorithm>
#include <array>

#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/rail_plan.hpp"

namespace host::expect {
namespace {

using model::Milliamps;
using model::Millivolts;
using model::Milliwatts;

constexpr std::array<std::int64_t, 12> kSizesWatts = {12, 18, 24, 30, 36, 40, 48, 60, 65, 90, 120, 150};

std::int64_t quotient_up(std::int64_t dividend, std::int64_t divisor) {
  return divisor <= 0 ? 0 : (dividend + divisor - 1) / divisor;
}

// The share of a rail's power that the supply must give.
Milliwatts at_input(const model::Kit& kit, const model::Rail* rail, Milliwatts power) {
  const bool converted = rail == nullptr || rail->origin == model::RailOrigin::kRegulated;
  if (!converted || kit.board.efficiency.count <= 0) return power;
  return {quotient_up(power.count * 1'000'000, kit.board.efficiency.count)};
}

std::optional<RailVoltage> planned(const model::Kit& kit, const model::Rail* rail,
                                   const std::vector<ExpectedFunction>& functions, model::FunctionId id) {
  return rail == nullptr ? std::nullopt : rail_voltage(kit, *rail, chosen_voltage(functions, id));
}

Milliwatts panel_power(const model::Kit& kit, const model::Rail* rail, Milliamps current,
                       const std::vector<ExpectedFunction>& functions) {
  const auto voltage = planned(kit, rail, functions, model::FunctionId::kPanelSupply);
  const auto& window = kit.panel.supply.voltage;
  const Millivolts volts =
      voltage ? voltage->nominal : window.nominal.value_or(window.max.value_or(Millivolts{}));
  return {quotient_up(volts.count * current.count, 1000)};
}

// What the keypad takes out of its rail.
Milliwatts keypad_power(const model::Kit& kit) {
  if (!kit.keypad) return {};
  const model::Rail* rail = kit.board.rail(model::RailId::kKeypad);
  const auto& takes = kit.keypad->voltage;
  Millivolts volts = takes.nominal.value_or(takes.max.value_or(Millivolts{}));
  if (rail != nullptr) {
    if (const auto voltage = rail_voltage(kit, *rail, std::optional<Millivolts>{})) volts = voltage->nominal;
  }
  return {quotient_up(volts.count * kit.keypad->current.count, 1000)};
}

std::string through(const model::Kit& kit, const model::Rail* rail, std::string_view load, Milliwatts power) {
  const bool converted = rail == nullptr || rail->origin == model::RailOrigin::kRegulated;
  return phrase(load, " ", to_text(power),
                converted ? phrase(" / ", to_text(kit.board.efficiency)) : std::string(", passed through"));
}

// Where a figure of the sum has a source of its own; empty when none has.
std::string sources_of(const model::Kit& kit) {
  std::string text;
  const auto add = [&](const model::About& about, std::initializer_list<std::string_view> paths) {
    const std::string told = cited(about, paths);
    if (told != about.id) text += phrase("; ", told);
  };
  add(kit.panel.about, {"supply.current.worst", "backlight.power"});
  add(kit.board.about, {"own_power", "efficiency"});
  add(kit.supply.about, {"voltage"});
  if (kit.keypad) add(kit.keypad->about, {"current"});
  return text;
}

std::string why_of(const model::Kit& kit, const model::Rail* panel, const model::Rail* light,
                   const SupplyNeed& need) {
  const auto& worst = kit.panel.supply.worst;
  return phrase(
      "board ", to_text(kit.board.own_power), " + panel at ", to_text(worst), " worst",
      panel != nullptr && panel->origin == model::RailOrigin::kRegulated
          ? phrase(" / ", to_text(kit.board.efficiency))
          : std::string(", passed through"),
      " + ", through(kit, light, "light", kit.panel.backlight.power),
      kit.keypad
          ? phrase(" + ", through(kit, kit.board.rail(model::RailId::kKeypad), "keypad", keypad_power(kit)))
          : std::string(),
      " = ", to_text(need.power), "; / ", to_text(kit.supply.voltage.min.value_or(need.voltage)), " = ",
      to_text(need.current), "; 80 % load, the next size sold: ", to_text(need.recommended_power),
      " (common practice)", sources_of(kit));
}

}  // namespace

Milliwatts recommended_power(Milliwatts power) {
  const std::int64_t needed = quotient_up(power.count * 10, 8);
  const auto* const size =
      std::ranges::find_if(kSizesWatts, [&](std::int64_t watts) { return watts * 1000 >= needed; });
  return {size == kSizesWatts.end() ? needed : *size * 1000};
}

std::optional<Milliamps> light_current(const model::Kit& kit,
                                       const std::vector<ExpectedFunction>& functions) {
  const auto voltage =
      planned(kit, kit.board.rail(model::RailId::kLight), functions, model::FunctionId::kLightSupply);
  if (!voltage || voltage->min.count <= 0) return std::nullopt;
  return Milliamps{quotient_up(kit.panel.backlight.power.count * 1000, voltage->min.count)};
}

SupplyNeed supply_need(const model::Kit& kit, const std::vector<ExpectedFunction>& functions) {
  const model::Rail* panel = kit.board.rail(model::RailId::kPanel);
  const model::Rail* light = kit.board.rail(model::RailId::kLight);
  SupplyNeed need;
  need.voltage = kit.supply.voltage.nominal.value_or(kit.supply.voltage.min.value_or(Millivolts{}));
  const Milliwatts keypad = at_input(kit, kit.board.rail(model::RailId::kKeypad), keypad_power(kit));
  const auto with_panel = [&](Milliamps current) {
    return kit.board.own_power + at_input(kit, panel, panel_power(kit, panel, current, functions)) +
           at_input(kit, light, kit.panel.backlight.power) + keypad;
  };
  need.power = with_panel(kit.panel.supply.worst);
  need.idle = with_panel(kit.panel.supply.idle);
  need.black = with_panel(kit.panel.supply.black);
  need.white = with_panel(kit.panel.supply.white);
  need.panel_inrush = kit.panel.supply.inrush;
  const Millivolts lowest = kit.supply.voltage.min.value_or(need.voltage);
  need.current = {quotient_up(need.power.count * 1000, lowest.count)};
  need.recommended_power = recommended_power(need.power);
  const std::int64_t fuse = kit.board.input_supply.fuse.count;
  if (fuse > 0) need.fuse_load = {quotient_up(need.current.count * 1'000'000, fuse)};
  need.why = why_of(kit, panel, light, need);
  return need;
}

}  // namespace host::expect
