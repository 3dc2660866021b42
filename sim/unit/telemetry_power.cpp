#include <algorithm>
#include <cmath>

#include "sim/unit/telemetry.hpp"

// Of the power circuit the firmware says what its measuring channels read. Behind a switch they sleep while
// neither picture nor message is shown; ahead of it they read whenever the converters run.

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::points::Point;
using protocol::points::Unread;

const model::Rail* rail_of(const Unit& unit, model::RailId id) {
  for (const model::Rail& rail : unit.kit().board.rails) {
    if (rail.id == id) return &rail;
  }
  return nullptr;
}

bool has_place(const Unit& unit, model::RailId id, std::string_view place) {
  const model::Rail* rail = rail_of(unit, id);
  return rail != nullptr && std::find(rail->places.begin(), rail->places.end(), place) != rail->places.end();
}

Value lowest(const Unit& unit, Point of) {
  const auto& min = unit.extremes(of).min;
  return min ? Value{*min} : Value{Unread::kAsleep};
}

Value highest(const Unit& unit, Point of) {
  return unit.extremes(of).max.value_or(0);
}

bool between(Point point, Point first, Point last) {
  return first <= point && point <= last;
}

Value input_and_logic_rails(const Unit& unit, Point point) {
  const Levels& levels = unit.circuit().levels();
  const bool logic = has_place(unit, model::RailId::kLogic, "out");
  switch (point) {
    case Point::kRailsSupplyInMv: return unit.measured(point, levels.supply_mv);
    case Point::kRailsSupplyInMvMin: return lowest(unit, Point::kRailsSupplyInMv);
    case Point::kRailsSupplyInMvMax: return highest(unit, Point::kRailsSupplyInMv);
    case Point::kRailsSupplyInMa: return unit.measured(point, levels.supply_ma);
    case Point::kRailsBrownOuts: return std::int64_t{unit.brown_outs()};
    default: break;
  }
  if (!logic) return Unread::kNotFitted;
  switch (point) {
    case Point::kRailsLogicOutMv: return unit.measured(point, levels.logic_mv);
    case Point::kRailsLogicOutMvMin: return lowest(unit, Point::kRailsLogicOutMv);
    default: return highest(unit, Point::kRailsLogicOutMv);
  }
}

Value panel_rail(const Unit& unit, Point point) {
  const Levels& levels = unit.circuit().levels();
  if (point == Point::kRailsPanelSelectedMv) {
    if (!has_place(unit, model::RailId::kPanel, "selected")) return Unread::kNotFitted;
    if (!is_up(unit)) return Unread::kAsleep;
    return unit.measured(point, levels.panel_selected_mv);
  }
  if (!has_place(unit, model::RailId::kPanel, "out")) return Unread::kNotFitted;
  switch (point) {
    case Point::kRailsPanelOutMvMin: return lowest(unit, Point::kRailsPanelOutMv);
    case Point::kRailsPanelOutMvMax: return highest(unit, Point::kRailsPanelOutMv);
    default: break;
  }
  if (!is_awake(unit)) return Unread::kAsleep;
  return unit.measured(point, point == Point::kRailsPanelOutMv ? levels.panel_mv : levels.panel_ma);
}

Value light_rail(const Unit& unit, Point point) {
  const Levels& levels = unit.circuit().levels();
  if (!has_place(unit, model::RailId::kLight, "out")) return Unread::kNotFitted;
  switch (point) {
    case Point::kRailsLightOutMvMin: return lowest(unit, Point::kRailsLightOutMv);
    case Point::kRailsLightOutMvMax: return highest(unit, Point::kRailsLightOutMv);
    default: break;
  }
  if (point == Point::kRailsLightOutMv) {
    return is_up(unit) ? Value{unit.measured(point, levels.light_mv)} : Value{Unread::kAsleep};
  }
  return is_awake(unit) ? Value{unit.measured(point, levels.light_ma)} : Value{Unread::kAsleep};
}

Value keypad_rail(const Unit& unit, Point point) {
  const Levels& levels = unit.circuit().levels();
  if (!has_place(unit, model::RailId::kKeypad, "out")) return Unread::kNotFitted;
  switch (point) {
    case Point::kRailsKeypadOutMv: return unit.measured(point, levels.keypad_mv);
    case Point::kRailsKeypadOutMvMin: return lowest(unit, Point::kRailsKeypadOutMv);
    case Point::kRailsKeypadOutMvMax: return highest(unit, Point::kRailsKeypadOutMv);
    default: return unit.measured(point, levels.keypad_ma);
  }
}

}  // namespace

Value rail_value(const Unit& unit, Point point) {
  if (between(point, Point::kRailsPanelSelectedMv, Point::kRailsPanelOutMa)) return panel_rail(unit, point);
  if (between(point, Point::kRailsLightOutMv, Point::kRailsLightOutMa)) return light_rail(unit, point);
  if (between(point, Point::kRailsKeypadOutMv, Point::kRailsKeypadOutMa)) return keypad_rail(unit, point);
  return input_and_logic_rails(unit, point);
}

Value backlight_value(const Unit& unit, Point point) {
  const Levels& levels = unit.circuit().levels();
  const DimmingLine& line = levels.dimming;
  const std::int64_t commanded = unit.firmware().settings().brightness.count / 1'000;
  if (point == Point::kBacklightLevelCommandedPermille) return commanded;
  if (!is_awake(unit)) return Unread::kAsleep;
  switch (point) {
    case Point::kBacklightEnableMv: return unit.measured(point, levels.enable_mv);
    case Point::kBacklightLevelEffectivePermille: return std::llround(unit.firmware().effective() * 1'000);
    case Point::kBacklightLimitedBy: return static_cast<std::int64_t>(unit.firmware().limited_by());
    case Point::kBacklightPwmFrequencyHz:
      if (line.duty <= 0 || line.duty >= 1) return Unread::kNoEdges;
      return unit.measured(point, line.hertz);
    case Point::kBacklightPwmDutyPermille: {
      const double permille = line.duty * 1'000;
      if (line.duty <= 0 || line.duty >= 1) return static_cast<std::int64_t>(permille);
      return std::min<std::int64_t>(1'000, unit.measured(point, permille));
    }
    default: return unit.measured(point, line.mv);
  }
}

}  // namespace sim::unit
