#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"
#include "host/expect/rail_plan.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::Millivolts;
using model::Severity;
using protocol::points::Point;
using Window = model::Bounds<Millivolts>;

// What a rail's limits are called.
struct RailNames {
  FindingId low, high, off_nominal;
};

// Below the load's window nothing works, above it parts die; outside the board's own tolerance something
// ages.
std::vector<Limit> rail_limits(const Window& window, const std::optional<RailVoltage>& voltage,
                               RailNames names) {
  std::vector<Limit> limits = {limit({{}, {}, counts(window).max}, names.high, names.high, Severity::kDanger),
                               limit({counts(window).min, {}, {}}, names.low, names.low, Severity::kFault)};
  if (voltage) {
    limits.push_back(limit({voltage->min.count, {}, voltage->max.count}, names.off_nominal, names.off_nominal,
                           Severity::kWarning));
  }
  return limits;
}

struct LoadNames {
  std::string_view load;    // "panel"
  std::string_view figure;  // where its window stands in the panel's file
  std::string_view rail;    // where its rail stands in the board's
};

std::string rail_why(const model::Kit& kit, const LoadNames& names, const Window& window,
                     const std::optional<RailVoltage>& voltage) {
  std::string why = phrase("the ", names.load, " takes ", limits_text(window), " (",
                           cited(kit.panel.about, {names.figure}), ")");
  if (voltage) why += phrase("; the rail is ", voltage->why, " (", cited(kit.board.about, {names.rail}), ")");
  return why;
}

std::optional<std::int64_t> nominal_of(const std::optional<RailVoltage>& voltage) {
  return voltage ? std::optional(voltage->nominal.count) : std::nullopt;
}

void add_supply(PointList& points, const model::Kit& kit) {
  const auto& input = kit.board.input_supply;
  const auto& supply = kit.supply.voltage;
  std::vector<Limit> limits = {
      limit({{}, {}, counts(input.voltage).max}, FindingId::kSupplyHigh, FindingId::kSupplyHigh,
            Severity::kDanger),
      limit({counts(input.voltage).min, {}, {}}, FindingId::kSupplyLow, FindingId::kSupplyLow,
            Severity::kFault),
      limit(counts(supply), FindingId::kSupplyLow, FindingId::kSupplyHigh, Severity::kWarning)};
  points.add(Point::kRailsSupplyInMv, counts(supply).nominal, limits,
             phrase("the board takes ", limits_text(input.voltage), " (",
                    cited(kit.board.about, {"input_supply.voltage"}), "); the supply gives ",
                    limits_text(supply), " (", cited(kit.supply.about, {"voltage"}), ")"),
             {.uncertainty = {input.uncertainty, 0}, .can_destroy = true});
}

void add_logic(PointList& points, const model::Kit& kit) {
  const model::Rail* rail = kit.board.rail(model::RailId::kLogic);
  if (rail == nullptr) return;
  const auto voltage = rail_voltage(kit, *rail, std::optional<Millivolts>{});
  if (!voltage) return;
  points.add(Point::kRailsLogicOutMv, voltage->nominal.count,
             {limit({voltage->min.count, {}, voltage->max.count}, FindingId::kLogicRailOff,
                    FindingId::kLogicRailOff)},
             phrase("the rail is ", voltage->why, " (", cited(kit.board.about, {"rail.logic"}), ")"),
             {.uncertainty = {rail->uncertainty, 0}});
}

void add_panel(PointList& points, const model::Kit& kit, const std::vector<ExpectedFunction>& functions) {
  const model::Rail* rail = kit.board.rail(model::RailId::kPanel);
  if (rail == nullptr) return;
  const auto& panel = kit.panel.supply;
  const auto voltage = rail_voltage(kit, *rail, chosen_voltage(functions, model::FunctionId::kPanelSupply));
  const std::vector<Limit> limits =
      rail_limits(panel.voltage, voltage,
                  {FindingId::kPanelRailLow, FindingId::kPanelRailHigh, FindingId::kPanelRailOffNominal});
  const std::string why = rail_why(kit, {"panel", "supply.voltage", "rail.panel"}, panel.voltage, voltage);
  const Uncertainty uncertainty{rail->uncertainty, 0};
  points.add(Point::kRailsPanelSelectedMv, nominal_of(voltage), limits, why,
             {.uncertainty = uncertainty, .can_destroy = true});
  points.add(Point::kRailsPanelOutMv, nominal_of(voltage), limits, why,
             {.uncertainty = uncertainty, .needs_awake = true, .can_destroy = true});
  points.add(
      Point::kRailsPanelOutMvMax, std::nullopt,
      {limit({{}, {}, panel.absolute_max.count}, FindingId::kPanelRailOver, FindingId::kPanelRailOver)},
      phrase("above ", to_text(panel.absolute_max), " the panel is destroyed (",
             cited(kit.panel.about, {"supply.absolute_max"}), ")"),
      {.uncertainty = uncertainty, .required = false});
  points.add(
      Point::kRailsPanelOutMa, std::nullopt,
      {limit({panel.idle.count, {}, panel.worst.count}, FindingId::kPanelCurrentLow,
             FindingId::kPanelCurrentHigh)},
      phrase("the panel draws ", to_text(panel.idle), " idle and ", to_text(panel.worst), " at worst (",
             cited(kit.panel.about, {"supply.current.idle", "supply.current.worst"}), ")"),
      {.uncertainty = uncertainty, .needs_awake = true});
}

void add_light(PointList& points, const model::Kit& kit, const std::vector<ExpectedFunction>& functions) {
  const model::Rail* rail = kit.board.rail(model::RailId::kLight);
  if (rail == nullptr) return;
  const auto voltage = rail_voltage(kit, *rail, chosen_voltage(functions, model::FunctionId::kLightSupply));
  const auto& window = kit.panel.backlight.supply;
  points.add(
      Point::kRailsLightOutMv, nominal_of(voltage),
      rail_limits(window, voltage,
                  {FindingId::kLightRailLow, FindingId::kLightRailHigh, FindingId::kLightRailOffNominal}),
      rail_why(kit, {"backlight", "backlight.supply", "rail.light"}, window, voltage),
      {.uncertainty = {rail->uncertainty, 0}, .needs_awake = true, .can_destroy = true});
}

void add_keypad(PointList& points, const model::Kit& kit) {
  if (!kit.keypad) return;
  points.exactly(Point::kKeypadPresent, 1, FindingId::kKeypadMissing,
                 phrase("the kit has the keypad ", kit.keypad->about.id), {});
  points.exactly(Point::kKeypadKeys, 0, FindingId::kKeypadKeyHeld, "nobody presses a key meanwhile", {});
  const model::Rail* rail = kit.board.rail(model::RailId::kKeypad);
  if (rail == nullptr) return;
  const auto voltage = rail_voltage(kit, *rail, std::optional<Millivolts>{});
  points.add(Point::kRailsKeypadOutMv, nominal_of(voltage),
             {limit(counts(kit.keypad->voltage), FindingId::kKeypadRailOff, FindingId::kKeypadRailOff)},
             phrase("the keypad takes ", limits_text(kit.keypad->voltage), " (",
                    cited(kit.keypad->about, {"voltage"}), ")"),
             {.uncertainty = {rail->uncertainty, 0}});
}

}  // namespace

void add_rail_points(PointList& points, const model::Kit& kit,
                     const std::vector<ExpectedFunction>& functions) {
  add_supply(points, kit);
  add_logic(points, kit);
  add_panel(points, kit, functions);
  add_light(points, kit, functions);
  add_keypad(points, kit);
  points.add(Point::kRailsBrownOuts, 0,
             {limit({{}, {}, 0}, FindingId::kSupplyLow, FindingId::kSupplyLow, Severity::kWarning)},
             "a supply that suits never dips below the board's minimum", {.required = false});
}

}  // namespace host::expect
