// The power circuit as nodes and branches, for whoever wants to add it up apart from the solver.

#include <algorithm>

#include "sim/unit/circuit.hpp"

namespace sim::unit {

void Circuit::take_sample() {
  PowerSample& s = sample_;
  s.count = 0;
  const auto set = [&](Node node, double mv) { s.mv[static_cast<std::size_t>(node)] = mv; };
  const auto add = [&](std::string_view name, BranchKind kind, Node from, Node to, double ma) {
    s.branches[s.count++] = {name, kind, from, to, ma};
  };
  const double input = levels_.supply_mv;
  set(Node::kSource, supply_.source_mv());
  set(Node::kInput, input);
  set(Node::kLogic, levels_.logic_mv);
  set(Node::kPanelSelected, levels_.panel_selected_mv);
  set(Node::kPanelOut, levels_.panel_mv);
  set(Node::kLightSelected, levels_.light_selected_mv);
  set(Node::kLightOut, levels_.light_mv);

  const double efficiency = static_cast<double>(std::max<std::int64_t>(kit_.board.efficiency.count, 1)) / 1e6;
  double taken_ma = 0;
  const auto converter = [&](std::string_view name, double out_mv, double out_ma, Node out) {
    const double in_ma = input > 0 ? out_mv * out_ma / efficiency / input : 0;
    taken_ma += in_ma;
    add(name, BranchKind::kConverterIn, Node::kInput, Node::kGround, in_ma);
    add(name, BranchKind::kConverterOut, Node::kGround, out, out_ma);
  };
  const auto rail = [&](const host::model::Rail* id, const SwitchedRail& out, Node selected, Node at,
                        std::string_view converts, std::string_view switches, std::string_view feeds) {
    const double through = out.switch_ma();
    if (passes(id)) {
      taken_ma += through;
      add(converts, BranchKind::kResistor, Node::kInput, selected, through);
    } else {
      converter(converts, s.at(selected), through, selected);
    }
    add(switches, BranchKind::kResistor, selected, at, through);
    add(feeds, BranchKind::kLoad, at, Node::kGround, out.load_ma() + out.short_ma());
    add("capacitor", BranchKind::kCapacitor, at, Node::kGround, out.capacitor_ma());
    add("bleeder", BranchKind::kResistor, at, Node::kGround, out.bleed_ma());
  };
  // The board's own power counts at its input.
  if (levels_.logic_mv > 0) {
    const double own_ma =
        static_cast<double>(kit_.board.own_power.count) * efficiency / levels_.logic_mv * 1'000;
    converter("logic converter", levels_.logic_mv, own_ma, Node::kLogic);
    add("board", BranchKind::kLoad, Node::kLogic, Node::kGround, own_ma);
  }
  rail(panel_rail_, panel_out_, Node::kPanelSelected, Node::kPanelOut, "panel converter", "panel switch",
       "panel");
  rail(light_rail_, light_out_, Node::kLightSelected, Node::kLightOut, "light converter", "light fuse",
       "light");
  const double into_capacitor = supply_.blocked() ? -taken_ma : supply_.capacitor_ma();
  const double from_source = supply_.blocked() ? 0 : std::max(0.0, taken_ma + into_capacitor);
  add("hold-up", BranchKind::kCapacitor, Node::kInput, Node::kGround, from_source - taken_ma);
  add("input", BranchKind::kResistor, Node::kSource, Node::kInput, from_source);
  add("supply", BranchKind::kSource, Node::kGround, Node::kSource, from_source);
  levels_.supply_ma = taken_ma;
}

}  // namespace sim::unit
