#include "host/expect/functions.hpp"

#include <algorithm>
#include <cstdlib>
#include <functional>

#include "host/expect/phrases.hpp"
#include "host/expect/rail_plan.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::FunctionId;
using model::FunctionValue;
using model::Millivolts;
using protocol::points::Point;

// Values of the rows that a predicate takes, each once, in the order of the rows.
std::vector<FunctionValue> values(const model::Function& function,
                                  const std::function<bool(const FunctionValue&)>& takes) {
  std::vector<FunctionValue> result;
  for (const model::FunctionRow& row : function.rows) {
    if (takes(row.value) && std::ranges::find(result, row.value) == result.end()) result.push_back(row.value);
  }
  return result;
}

std::vector<FunctionValue> only(const model::Function& function, const FunctionValue& wanted) {
  return values(function, [&](const FunctionValue& value) { return value == wanted; });
}

Millivolts middle(const model::Bounds<Millivolts>& window) {
  if (window.nominal) return *window.nominal;
  return {(window.min.value_or(Millivolts{}).count + window.max.value_or(Millivolts{}).count) / 2};
}

// A rail's values that the load takes, the one nearest to the load's nominal voltage first.
void expect_supply(ExpectedFunction& expected, const model::Kit& kit, const model::Function& function,
                   model::RailId id, const model::Bounds<Millivolts>& window, std::string_view load,
                   std::string_view figure) {
  const model::Rail* rail = kit.board.rail(id);
  expected.can_destroy = true;
  if (rail == nullptr) return;
  expected.accepted = values(function, [&](const FunctionValue& value) {
    const auto* voltage = std::get_if<Millivolts>(&value);
    return voltage != nullptr && fits(kit, *rail, *voltage, window);
  });
  const Millivolts target = middle(window);
  const auto distance = [target](const FunctionValue& value) {
    return std::abs((std::get<Millivolts>(value) - target).count);
  };
  std::vector<FunctionValue> nearest_first;
  for (const FunctionValue& value : expected.accepted) {
    nearest_first.insert(std::ranges::upper_bound(nearest_first, distance(value), {}, distance), value);
  }
  expected.accepted = std::move(nearest_first);
  expected.why =
      phrase("the ", load, " takes ", limits_text(window), " (", cited(kit.panel.about, {figure}), ")");
  if (!expected.accepted.empty()) {
    expected.why +=
        phrase("; ", rail_voltage(kit, *rail, std::get<Millivolts>(expected.accepted.front())).why);
  }
}

void measured_at(ExpectedFunction& expected, const model::Board& board, std::initializer_list<Point> points) {
  for (const Point point : points) {
    if (!expected.consequence && board.fitted(point)) expected.consequence = point;
  }
}

void expect_enable(ExpectedFunction& expected, const model::Kit& kit, const model::Function& function) {
  const auto& enable = kit.panel.backlight.enable;
  expected.accepted = values(function, [&](const FunctionValue& value) {
    const auto* level = std::get_if<Millivolts>(&value);
    return level != nullptr && enables(kit, *level);
  });
  expected.why = phrase("the backlight is on above ", to_text(enable.on_above),
                        enable.max ? phrase(" and bears ", to_text(*enable.max)) : "", " (",
                        cited(kit.panel.about, {"backlight.enable"}), ")");
}

ExpectedFunction expected_function(const model::Kit& kit, const model::Function& function) {
  const model::Panel& panel = kit.panel;
  ExpectedFunction expected;
  expected.id = function.id;
  switch (function.id) {
    case FunctionId::kPanelSupply:
      expected.finding = FindingId::kPanelSupplyStrap;
      expect_supply(expected, kit, function, model::RailId::kPanel, panel.supply.voltage, "panel",
                    "supply.voltage");
      measured_at(expected, kit.board, {Point::kRailsPanelSelectedMv, Point::kRailsPanelOutMv});
      break;
    case FunctionId::kLightSupply:
      expected.finding = FindingId::kLightSupplyStrap;
      expect_supply(expected, kit, function, model::RailId::kLight, panel.backlight.supply, "backlight",
                    "backlight.supply");
      measured_at(expected, kit.board, {Point::kRailsLightOutMv});
      break;
    case FunctionId::kLightEnable:
      expected.finding = FindingId::kLightEnableStrap;
      expect_enable(expected, kit, function);
      measured_at(expected, kit.board, {Point::kBacklightEnableMv});
      break;
    case FunctionId::kDimmingSense:
      expected.finding = FindingId::kDimmingSenseStrap;
      expected.accepted = only(function, panel.backlight.dimming.sense);
      expected.why = phrase("the backlight is ", to_text(panel.backlight.dimming.sense), " (",
                            cited(panel.about, {"backlight.dimming.sense"}), ")");
      break;
    case FunctionId::kBitMapping:
      expected.finding = FindingId::kBitMappingStrap;
      expected.accepted = only(function, panel.link.mapping);
      expected.why = phrase("the panel takes ", to_text(panel.link.mapping), " (",
                            cited(panel.about, {"panel_link.mapping"}), ")");
      break;
    case FunctionId::kRasterRow:
      expected.finding = FindingId::kRasterRowStrap;
      expected.accepted = only(function, needed_raster(panel));
      expected.why =
          phrase("the panel takes ", model::to_text(FunctionValue{needed_raster(panel)}), " (",
                 cited(panel.about, {"signal.raster", "panel_link.channels", "panel_link.mapping"}), ")");
      break;
    case FunctionId::kKeypadPower:
      expected.finding = FindingId::kKeypadPowerStrap;
      expected.used = kit.keypad.has_value();
      expected.accepted = only(function, model::Toggle::kOn);
      expected.why = expected.used ? "the keypad is fed by the board" : "the kit has no keypad";
      measured_at(expected, kit.board, {Point::kRailsKeypadOutMv});
      break;
    case FunctionId::kScanDirection:
      expected.finding = FindingId::kScanDirectionStrap;
      expected.accepted = only(function, model::ScanDirection::kNormal);
      expected.why = "the panel is mounted upright";
      break;
  }
  return expected;
}

}  // namespace

bool fits(const model::Kit& kit, const model::Rail& rail, Millivolts choice,
          const model::Bounds<Millivolts>& window) {
  const RailVoltage voltage = rail_voltage(kit, rail, choice);
  return window.contains(voltage.min) && window.contains(voltage.max);
}

bool enables(const model::Kit& kit, Millivolts level) {
  const auto& enable = kit.panel.backlight.enable;
  const Millivolts half_width = share_of(level, kit.board.light.enable_tolerance);
  return level - half_width >= enable.on_above && (!enable.max || level + half_width <= *enable.max);
}

model::RasterRow needed_raster(const model::Panel& panel) {
  return {panel.signal.raster_columns, panel.signal.raster_lines, panel.link.channels,
          bits_per_pixel(panel.link.mapping)};
}

std::vector<ExpectedFunction> expected_functions(const model::Kit& kit) {
  std::vector<ExpectedFunction> functions;
  functions.reserve(kit.board.functions.size());
  for (const model::Function& function : kit.board.functions)
    functions.push_back(expected_function(kit, function));
  return functions;
}

std::optional<Millivolts> chosen_voltage(const std::vector<ExpectedFunction>& functions, FunctionId id) {
  const auto function = std::ranges::find(functions, id, &ExpectedFunction::id);
  if (function == functions.end() || function->accepted.empty()) return std::nullopt;
  return std::get<Millivolts>(function->accepted.front());
}

}  // namespace host::expect
