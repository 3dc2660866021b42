#include "host/expect/consequences.hpp"

#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/rail_plan.hpp"

namespace host::expect {
namespace {

using model::FunctionId;
using model::Millivolts;
using model::Severity;

Harm rail_harm(const model::Kit& kit, model::RailId id, Millivolts value, std::string_view load,
               const model::Bounds<Millivolts>& window, Millivolts absolute_max) {
  Millivolts highest = value;
  if (const model::Rail* rail = kit.board.rail(id)) highest = rail_voltage(kit, *rail, value).max;
  const std::string takes = phrase("this ", load, " takes ", limits_text(window));
  if (window.max && highest > *window.max) {
    const bool destroyed = highest > absolute_max;
    return {Severity::kDanger, phrase(takes, ", absolute maximum ", to_text(absolute_max), ": the ", load,
                                      destroyed ? " would be destroyed at power-on."
                                                : " would be driven beyond its rating and can fail.")};
  }
  return {Severity::kFault, phrase(takes, ": the ", load, " does not work, or not reliably.")};
}

Harm enable_harm(const model::Kit& kit, Millivolts value) {
  const auto& enable = kit.panel.backlight.enable;
  if (enable.max && value + share_of(value, kit.board.light.enable_tolerance) > *enable.max) {
    return {Severity::kDanger, phrase("the backlight's enable input bears ", to_text(*enable.max),
                                      ": its driver can be destroyed.")};
  }
  return {Severity::kFault,
          phrase("the backlight is on above ", to_text(enable.on_above), ": the screen stays dark.")};
}

Harm raster_harm(const model::Kit& kit, const model::RasterRow& row) {
  const model::RasterRow wanted = needed_raster(kit.panel);
  const std::string takes = phrase("this panel takes ", to_text(model::FunctionValue{wanted}), ": ");
  if (row.channels != wanted.channels)
    return {Severity::kFault, takes + "half a picture, a doubled one, or none."};
  if (row.columns != wanted.columns || row.lines != wanted.lines) {
    return {Severity::kFault, takes + "a cut or shifted picture, or none."};
  }
  return {Severity::kFault, takes + "dark, false or banded colours."};
}

}  // namespace

Harm harm_of(const model::Kit& kit, FunctionId id, const model::FunctionValue& value) {
  const model::Panel& panel = kit.panel;
  switch (id) {
    case FunctionId::kPanelSupply:
      return rail_harm(kit, model::RailId::kPanel, std::get<Millivolts>(value), "panel", panel.supply.voltage,
                       panel.supply.absolute_max);
    case FunctionId::kLightSupply:
      return rail_harm(kit, model::RailId::kLight, std::get<Millivolts>(value), "backlight",
                       panel.backlight.supply, panel.backlight.absolute_max);
    case FunctionId::kLightEnable: return enable_harm(kit, std::get<Millivolts>(value));
    case FunctionId::kDimmingSense:
      return {Severity::kFault, phrase("this backlight is ", to_text(panel.backlight.dimming.sense),
                                       ": brightness works backwards, dark or glaring.")};
    case FunctionId::kBitMapping:
      return {Severity::kFault, phrase("this panel takes ", to_text(panel.link.mapping),
                                       ": false colours and bands in every smooth shade.")};
    case FunctionId::kRasterRow: return raster_harm(kit, std::get<model::RasterRow>(value));
    case FunctionId::kKeypadPower: return {Severity::kFault, "this kit has a keypad: its keys do nothing."};
    case FunctionId::kScanDirection:
      return {Severity::kFault, "this panel is mounted upright: the picture stands mirrored or upside down."};
  }
  return {};
}

}  // namespace host::expect
