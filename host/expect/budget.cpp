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

// A load that draws a current, at its rail's voltage, or at what the load takes where that isn't settled.
struct Load {
  std::string_view name;
  const model::Rail* rail = nullptr;
  Millivolts volts;
  Milliamps current;

  [[nodiscard]] Milliwatts power() const { return {quotient_up(volts.count * current.count, 1000)}; }
};

Millivolts volts_of(const std::optional<RailVoltage>& voltage, const model::Bounds<Millivolts>& takes) {
  return voltage ? voltage->nominal : takes.nominal.value_or(takes.max.value_or(Millivolts{}));
}

Load panel_load(const model::Kit& kit, Milliamps current, const std::vector<ExpectedFunction>& functions) {
  const model::Rail* rail = kit.board.rail(model::RailId::kPanel);
  const auto voltage = planned(kit, rail, functions, model::FunctionId::kPanelSupply);
  return {"panel", rail, volts_of(voltage, kit.panel.supply.voltage), current};
}

std::optional<Load> keypad_load(const model::Kit& kit) {
  if (!kit.keypad) return std::nullopt;
  const model::Rail* rail = kit.board.rail(model::RailId::kKeypad);
  const auto voltage = rail == nullptr ? std::nullopt : rail_voltage(kit, *rail, std::optional<Millivolts>{});
  return Load{"keypad", rail, volts_of(voltage, kit.keypad->voltage), kit.keypad->current};
}

std::string through(const model::Kit& kit, const model::Rail* rail) {
  const bool converted = rail == nullptr || rail->origin == model::RailOrigin::kRegulated;
  return converted ? phrase(" / ", to_text(kit.board.efficiency)) : std::string(", passed through");
}

std::string term(const model::Kit& kit, const Load& load) {
  return phrase(load.name, " ", to_text(load.volts), " x ", to_text(load.current), through(kit, load.rail));
}

std::string sum_of(const model::Kit& kit, const std::vector<ExpectedFunction>& functions, Milliwatts power) {
  const auto keypad = keypad_load(kit);
  return phrase("board ", to_text(kit.board.own_power), " + ",
                term(kit, panel_load(kit, kit.panel.supply.worst, functions)), " + light ",
                to_text(kit.panel.backlight.power), through(kit, kit.board.rail(model::RailId::kLight)),
                keypad ? phrase(" + ", term(kit, *keypad)) : std::string(), " = ", to_text(power));
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

std::string why_of(const model::Kit& kit, const SupplyNeed& need) {
  return phrase(need.sum, "; / ", to_text(kit.supply.voltage.min.value_or(need.voltage)), " = ",
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
  const auto keypad = keypad_load(kit);
  SupplyNeed need;
  need.voltage = kit.supply.voltage.nominal.value_or(kit.supply.voltage.min.value_or(Millivolts{}));
  const Milliwatts others = kit.board.own_power +
                            at_input(kit, kit.board.rail(model::RailId::kLight), kit.panel.backlight.power) +
                            (keypad ? at_input(kit, keypad->rail, keypad->power()) : Milliwatts{});
  const auto with_panel = [&](Milliamps current) {
    const Load panel = panel_load(kit, current, functions);
    return others + at_input(kit, panel.rail, panel.power());
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
  need.sum = sum_of(kit, functions, need.power);
  need.why = why_of(kit, need);
  return need;
}

}  // namespace host::expect
