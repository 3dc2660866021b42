#include "sim/unit/circuit.hpp"

#include <algorithm>
#include <cmath>

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;

constexpr double kLogicMvUsual = 3'300;  // of a board whose file has no logic rail
constexpr double kDropOut = 0.8;         // of the board's lowest input: below it nothing runs
constexpr double kStillMv = 0.002;       // less than this in a step is no movement
constexpr double kShortOhm = 0.05;
constexpr double kInrushUsualMa = 1'000;  // of a panel whose data sheet says none

double first_choice_mv(const model::Rail* rail, double otherwise) {
  return rail == nullptr || rail->choices.empty() ? otherwise
                                                  : static_cast<double>(rail->choices.front().count);
}

double nominal_mv(const model::Kit& kit) {
  return static_cast<double>(kit.supply.voltage.nominal.value_or(model::Millivolts{}).count);
}

// The panel's own input capacitor, from its inrush at the slope of the soft start: C = I t / V.
double panel_farad(const model::Panel::Supply& supply) {
  const double inrush = supply.inrush.count > 0 ? static_cast<double>(supply.inrush.count) : kInrushUsualMa;
  const auto nominal = supply.voltage.nominal ? supply.voltage.nominal : supply.voltage.min;
  const double mv = nominal && nominal->count > 0 ? static_cast<double>(nominal->count) : 5'000;
  return inrush * static_cast<double>(kSoftStart.count()) * 1e-6 / mv;
}

double argument_mv(const Wrongs& wrongs, Kind kind) {
  return static_cast<double>(wrongs.argument<model::Millivolts>(kind).count);
}

}  // namespace

bool passes(const model::Rail* rail) {
  return rail != nullptr && rail->origin == model::RailOrigin::kPassedThrough;
}

Circuit::Circuit(const model::Kit& kit, const Spread& spread, const Wrongs& wrongs)
    : kit_{kit},
      wrongs_{wrongs},
      panel_rail_{kit.board.rail(model::RailId::kPanel)},
      light_rail_{kit.board.rail(model::RailId::kLight)},
      keypad_rail_{kit.board.rail(model::RailId::kKeypad)},
      input_min_mv_{
          static_cast<double>(kit.board.input_supply.voltage.min.value_or(model::Millivolts{}).count)},
      logic_nominal_mv_{first_choice_mv(kit.board.rail(model::RailId::kLogic), kLogicMvUsual)},
      spread_{spread},
      supply_{kit, nominal_mv(kit) * spread.supply},
      panel_out_{sim::unit::panel_farad(kit.panel.supply)},
      light_out_{kLightFarad},
      panel_{kit.panel.supply},
      light_{kit.panel.backlight} {}

// What the loads take out of the input: converters lose their share, what is passed through loses nothing.
double Circuit::taken_mw() const {
  const double efficiency = static_cast<double>(std::max<std::int64_t>(kit_.board.efficiency.count, 1)) / 1e6;
  const auto taken = [&](const model::Rail* rail, double selected_mv, double ma) {
    return passes(rail) ? supply_.input_mv() * ma / 1'000 : selected_mv * ma / 1'000 / efficiency;
  };
  return static_cast<double>(kit_.board.own_power.count) +
         taken(panel_rail_, levels_.panel_selected_mv, panel_out_.switch_ma()) +
         taken(light_rail_, levels_.light_selected_mv, light_out_.switch_ma());
}

// What stands ahead of a rail's switch. A converter below the board's lowest input loses in proportion.
double Circuit::source_mv(const model::Rail* rail, const std::optional<double>& chosen, double factor,
                          const Drive& drive) const {
  if (!regulating_ || !drive.converters || !chosen) return 0;
  if (passes(rail)) return levels_.supply_mv;
  const double room = input_min_mv_ > 0 ? std::min(1.0, levels_.supply_mv / input_min_mv_) : 1;
  return *chosen * factor * room;
}

void Circuit::advance(const Inputs& inputs, Instant now, Duration step) {
  if (step.count() <= 0) return;
  if (settled_) return;
  const Levels before = levels_;
  supply_.advance(regulating_ ? taken_mw() : 0, wrongs_, now, step);
  levels_.supply_mv = supply_.input_mv();
  levels_.supply_steady = levels_.supply_mv > 0 && (levels_.supply_steady || !supply_.moving());
  brown_out_ = levels_.supply_steady && levels_.supply_mv < input_min_mv_;
  // The logic converter waits for a steady input before it starts.
  const bool enough = levels_.supply_mv > 0 && levels_.supply_mv >= kDropOut * input_min_mv_;
  regulating_ = enough && (regulating_ || levels_.supply_steady);
  levels_.logic_mv = regulating_ ? logic_nominal_mv_ * spread_.logic : 0;

  // What the loads will draw in the next step, beside what has moved in this one.
  const bool ran = panel_.running();
  const double lit_mw = light_.power_mw(wrongs_);
  panel_data(inputs);
  panel_rail(inputs, now, step);
  light_rail(inputs, step);
  keypad(inputs);
  take_sample();

  const auto still = [](double a, double b) { return std::abs(a - b) < kStillMv; };
  settled_ = !supply_.moving() && ran == panel_.running() && still(lit_mw, light_.power_mw(wrongs_)) &&
             still(before.supply_mv, levels_.supply_mv) && still(before.supply_ma, levels_.supply_ma) &&
             still(before.logic_mv, levels_.logic_mv) &&
             still(before.panel_selected_mv, levels_.panel_selected_mv) &&
             still(before.panel_mv, levels_.panel_mv) && still(before.panel_ma, levels_.panel_ma) &&
             still(before.light_selected_mv, levels_.light_selected_mv) &&
             still(before.light_mv, levels_.light_mv) && still(before.light_ma, levels_.light_ma) &&
             still(before.keypad_mv, levels_.keypad_mv) && still(before.keypad_ma, levels_.keypad_ma) &&
             still(before.enable_mv, levels_.enable_mv);
}

// What the wires between board and panel let through.
void Circuit::panel_data(const Inputs& inputs) {
  video_ = inputs.drive.video;
  if (video_ != Video::kNone && wrongs_.acts(Kind::kPanelCableOut)) video_ = Video::kNone;
  if (video_ != Video::kNone && wrongs_.has(Kind::kPanelPairOpen) &&
      wrongs_.argument<fault::Pair>(Kind::kPanelPairOpen).clock && wrongs_.acts(Kind::kPanelPairOpen)) {
    video_ = Video::kNone;
  }
}

void Circuit::panel_rail(const Inputs& inputs, Instant now, Duration step) {
  double selected = source_mv(panel_rail_, inputs.straps.panel_mv, spread_.panel, inputs.drive);
  if (wrongs_.has(Kind::kPanelRailLow) && selected > argument_mv(wrongs_, Kind::kPanelRailLow) &&
      wrongs_.acts(Kind::kPanelRailLow)) {
    selected = argument_mv(wrongs_, Kind::kPanelRailLow);
  }
  levels_.panel_selected_mv = selected;

  SwitchedRail::Conditions given;
  given.source_mv = selected > 0 && wrongs_.acts(Kind::kPanelFuseOpen) ? 0 : selected;
  given.on = inputs.drive.panel_switch;
  if (!given.on && given.source_mv > 0 && wrongs_.acts(Kind::kPanelRailStaysOn)) given.on = true;
  given.load_ma = panel_.current_ma(video_, wrongs_);
  const double rated = panel_rail_ != nullptr ? static_cast<double>(panel_rail_->current_max.count) : 0;
  given.trip_ma = kTripOver * rated;
  if (wrongs_.has(Kind::kPanelRailWeak)) {
    given.limit_ma = static_cast<double>(wrongs_.argument<model::Milliamps>(Kind::kPanelRailWeak).count);
  }
  if (given.on && given.source_mv > 0 && wrongs_.acts(Kind::kPanelRailShort)) given.short_ohm = kShortOhm;
  panel_out_.advance(given, step);
  if (panel_out_.starved()) wrongs_.count(Kind::kPanelRailWeak);
  levels_.panel_mv = panel_out_.out_mv();
  const bool fed = given.on && given.source_mv > 0;
  levels_.panel_steady = fed && (levels_.panel_steady || levels_.panel_mv >= panel_out_.target_mv());
  levels_.panel_ma = std::max(0.0, fed ? panel_out_.switch_ma() : 0);

  // Behind the connector.
  bool touches = true;
  if (levels_.panel_mv > 0 && wrongs_.acts(Kind::kPanelCableOut)) touches = false;
  if (levels_.panel_mv > 0 && wrongs_.acts(Kind::kPanelSupplyContactOpen)) touches = false;
  panel_.supply(touches ? levels_.panel_mv : 0, now);
}

void Circuit::light_rail(const Inputs& inputs, Duration step) {
  const Drive& drive = inputs.drive;
  double selected = source_mv(light_rail_, inputs.straps.light_mv, spread_.light, drive);
  if (wrongs_.has(Kind::kBacklightSupplyLow) && selected > argument_mv(wrongs_, Kind::kBacklightSupplyLow) &&
      wrongs_.acts(Kind::kBacklightSupplyLow)) {
    selected = argument_mv(wrongs_, Kind::kBacklightSupplyLow);
  }
  levels_.light_selected_mv = selected;
  SwitchedRail::Conditions given;
  given.source_mv = selected > 0 && wrongs_.acts(Kind::kBacklightSupplyOpen) ? 0 : selected;
  given.on = true;
  const double mw = light_.power_mw(wrongs_);
  given.load_ma = light_out_.out_mv() > 0 ? mw / light_out_.out_mv() * 1'000 : 0;
  light_out_.advance(given, step);
  levels_.light_mv = light_out_.out_mv();
  levels_.light_steady =
      given.source_mv > 0 && (levels_.light_steady || levels_.light_mv >= light_out_.target_mv());
  levels_.light_ma = std::max(0.0, given.source_mv > 0 ? light_out_.switch_ma() : 0);

  const double active = inputs.straps.enable_mv.value_or(0) * spread_.enable;
  bool high = drive.light;
  if (drive.converters && wrongs_.acts(Kind::kEnablePolarityInverted)) high = !high;
  double enable = high && regulating_ ? active : 0;
  if (regulating_ && wrongs_.has(Kind::kBacklightEnableStuck)) {
    const fault::Argument& at = wrongs_.argument(Kind::kBacklightEnableStuck);
    const auto* mv = std::get_if<model::Millivolts>(&at);
    const auto* level = std::get_if<fault::Level>(&at);
    const double stuck = mv != nullptr                   ? static_cast<double>(mv->count)
                         : *level == fault::Level::kHigh ? (active > 0 ? active : kDimmingHighMv)
                                                         : 0;
    if (stuck != enable && wrongs_.acts(Kind::kBacklightEnableStuck)) enable = stuck;
  }
  levels_.enable_mv = enable;
  levels_.dimming = dimming_line(kit_, wrongs_, drive.light && regulating_, drive.duty, drive.hertz);
  LightDriver::Pins pins{levels_.light_mv, std::nullopt, levels_.dimming.duty, levels_.dimming.mv};
  if (inputs.straps.enable_mv || wrongs_.has(Kind::kBacklightEnableStuck)) pins.enable_mv = enable;
  if (levels_.light_mv > 0 && wrongs_.acts(Kind::kBacklightCableOut)) {
    pins = {};  // no supply, nothing on the wires
  }
  light_.pins(pins, wrongs_);
}

// A ladder: a key ties its resistor across the whole.
void Circuit::keypad(const Inputs& inputs) {
  const bool powered = keypad_rail_ != nullptr && inputs.straps.keypad && levels_.logic_mv > 0;
  levels_.keypad_mv = powered ? first_choice_mv(keypad_rail_, kLogicMvUsual) * spread_.keypad : 0;
  levels_.keypad_ma = 0;
  if (!kit_.keypad || !powered || wrongs_.acts(Kind::kKeypadOpen)) return;
  int key = inputs.key;
  if (wrongs_.acts(Kind::kKeypadStuck)) key = wrongs_.argument<fault::Key>(Kind::kKeypadStuck).number;
  double siemens = 1 / kKeypadOhm;
  if (key > 0) siemens += 1 / (kKeyOhm * key);
  levels_.keypad_ma = levels_.keypad_mv * siemens;
}

std::optional<Instant> Circuit::next(Instant now) const {
  std::optional<Instant> next = supply_.next(wrongs_, now);
  if (const auto restart = panel_.restart_at(); restart && (!next || *restart < *next)) next = restart;
  return next;
}

}  // namespace sim::unit
