#include "sim/unit/circuit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::base::Duration;

constexpr double kLogicMvUsual = 3'300;  // of a board whose file has no logic rail
constexpr double kDropOut = 0.8;         // of the board's lowest input: below it nothing regulates
constexpr double kStillMv = 0.002;       // less than this in a step is no movement
constexpr double kEmptyMv = 0.5;

const model::Rail* find_rail(const model::Board& board, model::RailId id) {
  for (const model::Rail& rail : board.rails) {
    if (rail.id == id) return &rail;
  }
  return nullptr;
}

double first_choice_mv(const model::Rail* rail, double otherwise) {
  return rail == nullptr || rail->choices.empty() ? otherwise
                                                  : static_cast<double>(rail->choices.front().count);
}

bool passes(const model::Rail* rail) {
  return rail != nullptr && rail->origin == model::RailOrigin::kPassedThrough;
}

double share(Duration step, Duration whole) {
  return static_cast<double>(step.count()) / static_cast<double>(whole.count());
}

// A switched output: up a straight ramp to what its source gives less the drop, down by discharge.
double ramped_mv(double now_mv, double source_mv, double target_mv, bool on, Duration step) {
  if (on && source_mv > 0) return std::min(target_mv, now_mv + source_mv * share(step, kSoftStart));
  const double left_mv = now_mv * std::exp(-share(step, kDischarge));
  return left_mv < kEmptyMv ? 0 : left_mv;
}

double dropped_mv(double source_mv, double current_ma) {
  return std::max(0.0, source_mv - current_ma * kSwitchOhm);
}

}  // namespace

Circuit::Circuit(const model::Kit& kit, const Spread& spread)
    : kit_{kit},
      panel_rail_{find_rail(kit.board, model::RailId::kPanel)},
      light_rail_{find_rail(kit.board, model::RailId::kLight)},
      keypad_rail_{find_rail(kit.board, model::RailId::kKeypad)},
      supply_own_mv_{static_cast<double>(kit.supply.voltage.nominal.value_or(model::Millivolts{}).count) *
                     spread.supply},
      supply_mv_{supply_own_mv_},
      logic_nominal_mv_{first_choice_mv(find_rail(kit.board, model::RailId::kLogic), kLogicMvUsual)},
      spread_{spread},
      panel_{kit.panel.supply},
      light_{kit.panel.backlight} {}

void Circuit::set_supply(std::optional<double> mv) {
  supply_mv_ = mv.value_or(supply_own_mv_);
  settled_ = false;
}

// The input at constant power: V = (Vs + sqrt(Vs^2 - 4 R P)) / 2.
void Circuit::feed(double power_mw) {
  const double volts = supply_mv_ / 1'000;
  const double watts = power_mw / 1'000;
  const double root = volts * volts - 4 * kInputOhm * watts;
  const double input = root > 0 ? (volts + std::sqrt(root)) / 2 : volts / 2;
  levels_.supply_mv = input * 1'000;
  levels_.supply_ma = input > 0 ? power_mw / input : 0;
}

// What the loads take out of the input: converters lose their share, what is passed through loses nothing.
double Circuit::output_mw() const {
  const double efficiency = static_cast<double>(std::max<std::int64_t>(kit_.board.efficiency.count, 1)) / 1e6;
  const double panel_mw = levels_.panel_selected_mv * levels_.panel_ma / 1'000;
  const double light_mw = levels_.light_selected_mv * levels_.light_ma / 1'000;
  return static_cast<double>(kit_.board.own_power.count) + panel_mw / (passes(panel_rail_) ? 1 : efficiency) +
         light_mw / (passes(light_rail_) ? 1 : efficiency);
}

void Circuit::advance(const Selections& straps, const Drive& drive, Duration step) {
  if (settled_) return;
  const Levels before = levels_;
  feed(levels_.logic_mv > 0 ? output_mw() : 0);

  const double input_min =
      static_cast<double>(kit_.board.input_supply.voltage.min.value_or(model::Millivolts{}).count);
  brown_out_ = levels_.supply_mv < input_min;
  const bool regulating = levels_.supply_mv >= kDropOut * input_min;
  levels_.logic_mv = regulating ? logic_nominal_mv_ * spread_.logic : 0;

  const auto source_mv = [&](const model::Rail* rail, const std::optional<double>& chosen, double factor) {
    if (!regulating || !drive.converters || !chosen) return 0.0;
    return passes(rail) ? levels_.supply_mv : *chosen * factor;
  };
  levels_.panel_selected_mv = source_mv(panel_rail_, straps.panel_mv, spread_.panel);
  const double panel_target_mv = dropped_mv(levels_.panel_selected_mv, levels_.panel_ma);
  levels_.panel_mv =
      ramped_mv(levels_.panel_mv, levels_.panel_selected_mv, panel_target_mv, drive.panel_switch, step);
  const bool panel_fed = drive.panel_switch && levels_.panel_selected_mv > 0;
  levels_.panel_steady = panel_fed && (levels_.panel_steady || levels_.panel_mv >= panel_target_mv);
  panel_.supply(levels_.panel_mv);
  levels_.panel_ma = panel_.current_ma(drive.video);

  levels_.light_selected_mv = source_mv(light_rail_, straps.light_mv, spread_.light);
  const double light_target_mv = dropped_mv(levels_.light_selected_mv, levels_.light_ma);
  levels_.light_mv = ramped_mv(levels_.light_mv, levels_.light_selected_mv, light_target_mv, true, step);
  levels_.light_steady =
      levels_.light_selected_mv > 0 && (levels_.light_steady || levels_.light_mv >= light_target_mv);
  levels_.enable_mv = drive.light ? straps.enable_mv.value_or(0) * spread_.enable : 0;
  levels_.dimming_mv = drive.light ? drive.duty * kDimmingHighMv : 0;
  light_.pins(levels_.light_mv, straps.enable_mv ? std::optional{levels_.enable_mv} : std::nullopt,
              drive.light ? drive.duty : 0);
  levels_.light_ma = levels_.light_mv > 0 ? light_.power_mw() / levels_.light_mv * 1'000 : 0;

  const bool keypad = keypad_rail_ != nullptr && straps.keypad && levels_.logic_mv > 0;
  levels_.keypad_mv = keypad ? first_choice_mv(keypad_rail_, kLogicMvUsual) * spread_.keypad : 0;
  levels_.keypad_ma = kit_.keypad ? levels_.keypad_mv / kKeypadOhm : 0;

  const auto still = [](double a, double b) { return std::abs(a - b) < kStillMv; };
  settled_ = still(before.supply_mv, levels_.supply_mv) && still(before.logic_mv, levels_.logic_mv) &&
             still(before.panel_selected_mv, levels_.panel_selected_mv) &&
             still(before.panel_mv, levels_.panel_mv) && still(before.panel_ma, levels_.panel_ma) &&
             still(before.light_mv, levels_.light_mv) && still(before.light_ma, levels_.light_ma) &&
             still(before.keypad_mv, levels_.keypad_mv) && still(before.enable_mv, levels_.enable_mv);
}

}  // namespace sim::unit
