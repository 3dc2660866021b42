#include "host/expect/cable_drop.hpp"

#include <algorithm>

#include "host/expect/budget.hpp"
#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/rail_plan.hpp"
#include "host/expect/wire/drop.hpp"

namespace host::expect {
namespace {

using model::FunctionId;
using model::Milliamps;
using model::Millivolts;
using wire::Microhms;

constexpr std::string_view kPanelNet = "VPANEL";
constexpr std::string_view kLightNet = "VLIGHT";

bool brings(const nets::Route& route, std::string_view net) {
  return std::ranges::any_of(nets::follow(route), [&](const nets::Lead& lead) {
    return lead.far_net == net && lead.board_net == net;
  });
}

int share_of_cables(const std::vector<nets::Route>& routes, std::string_view net) {
  const auto count =
      std::ranges::count_if(routes, [&](const nets::Route& route) { return brings(route, net); });
  return std::max(1, static_cast<int>(count));
}

Milliamps shared(Milliamps current, int cables) {
  return {(current.count + cables - 1) / cables};
}

// The wires of one net, by their resistance; nothing when the gauge of one can't be read.
std::optional<std::vector<Microhms>> wires_of(const nets::Route& route, std::string_view net) {
  std::vector<Microhms> wires;
  for (const nets::Lead& lead : nets::follow(route)) {
    if (lead.board_net != net || lead.far_net != net) continue;
    const auto gauge = wire::parse_gauge(route.cable.wires[lead.wire].gauge);
    if (!gauge) return std::nullopt;
    wires.push_back(resistance(*gauge, route.cable.length, wire::kInside));
  }
  return wires;
}

std::string milliohms(Microhms resistance) {
  return std::to_string((resistance.count + 999) / 1000) + " mΩ";
}

struct Supply {
  std::string_view net;
  model::RailId rail;
  FunctionId function;
  const model::Bounds<Millivolts>& window;
  Milliamps current;                       // of one cable, without what the drop adds
  std::optional<model::Milliwatts> power;  // of a load that keeps its power, of one cable
};

void add_drop(std::vector<CableDrop>& drops, const model::Kit& kit, const nets::Route& route,
              const Supply& supply, const std::vector<ExpectedFunction>& functions) {
  const model::Rail* rail = kit.board.rail(supply.rail);
  const auto voltage =
      rail == nullptr ? std::nullopt : rail_voltage(kit, *rail, chosen_voltage(functions, supply.function));
  const auto out = wires_of(route, supply.net);
  const auto back = wires_of(route, "GND");
  if (!voltage || !out || !back || out->empty() || back->empty()) return;
  CableDrop drop;
  drop.cable = route.designator;
  drop.net = supply.net;
  drop.wires_out = static_cast<int>(out->size());
  drop.wires_back = static_cast<int>(back->size());
  drop.resistance = wire::side_by_side(*out, wire::kContact) + wire::side_by_side(*back, wire::kContact);
  drop.source_min = voltage->min;
  if (supply.power) {
    drop.at_load_min = wire::at_load(voltage->min, *supply.power, drop.resistance);
    drop.drop = voltage->min - drop.at_load_min;
    drop.current = {drop.at_load_min.count > 0
                        ? (supply.power->count * 1000 + drop.at_load_min.count - 1) / drop.at_load_min.count
                        : supply.current.count};
  } else {
    drop.current = supply.current;
    drop.drop = wire::drop(drop.current, drop.resistance);
    drop.at_load_min = voltage->min - drop.drop;
  }
  drop.load_min = supply.window.min.value_or(Millivolts{});
  drop.why =
      phrase(drop.wires_out, " wires out, ", drop.wires_back, " back, ", to_text(route.cable.length),
             " at 60 °C, contacts of 20 mΩ at both ends (common practice): ", milliohms(drop.resistance),
             " x ", to_text(drop.current), " = ", to_text(drop.drop), "; ", to_text(drop.source_min), " - ",
             to_text(drop.drop), " = ", to_text(drop.at_load_min), " (",
             cited(route.cable.about, {"length", "wires"}), ")");
  drops.push_back(std::move(drop));
}

}  // namespace

nets::Loads cable_loads(const model::Kit& kit, const PanelLink& link,
                        const std::vector<ExpectedFunction>& functions) {
  const auto routes = nets::routes(kit);
  nets::Loads loads;
  loads.link = kit.panel.link;
  loads.bit_rate_kbps = link.bit_rate_kbps;
  loads.supply[std::string(kPanelNet)] = shared(kit.panel.supply.worst, share_of_cables(routes, kPanelNet));
  if (const auto current = light_current(kit, functions)) {
    loads.supply[std::string(kLightNet)] = shared(*current, share_of_cables(routes, kLightNet));
  }
  return loads;
}

std::vector<CableDrop> cable_drops(const model::Kit& kit, const std::vector<ExpectedFunction>& functions) {
  const auto routes = nets::routes(kit);
  const int light_cables = share_of_cables(routes, kLightNet);
  const Supply panel{kPanelNet,
                     model::RailId::kPanel,
                     FunctionId::kPanelSupply,
                     kit.panel.supply.voltage,
                     shared(kit.panel.supply.worst, share_of_cables(routes, kPanelNet)),
                     std::nullopt};
  const Supply light{kLightNet,
                     model::RailId::kLight,
                     FunctionId::kLightSupply,
                     kit.panel.backlight.supply,
                     shared(light_current(kit, functions).value_or(Milliamps{}), light_cables),
                     model::Milliwatts{(kit.panel.backlight.power.count + light_cables - 1) / light_cables}};
  std::vector<CableDrop> drops;
  for (const nets::Route& route : routes) {
    if (!nets::can_be_followed(route)) continue;
    add_drop(drops, kit, route, panel, functions);
    add_drop(drops, kit, route, light, functions);
  }
  return drops;
}

}  // namespace host::expect
