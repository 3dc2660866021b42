#pragma once

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/branch.hpp"
#include "sim/unit/loads.hpp"
#include "sim/unit/spread.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::unit {

/// Resistances and times that no data sheet of a kit gives: what such boards usually have.
inline constexpr double kInputOhm = 0.015;       // input fuse and wiring
inline constexpr double kSwitchOhm = 0.025;      // fuse and switch of a rail
inline constexpr double kKeypadOhm = 10'000;     // ladder of a keypad, no key held
inline constexpr double kDimmingHighMv = 3'300;  // high level of the dimming line
inline constexpr protocol::base::Duration kSoftStart = protocol::base::milliseconds(3);  // 0 to 100 %
inline constexpr protocol::base::Duration kDischarge = protocol::base::milliseconds(5);  // time constant

/// What the firmware commands.
struct Drive {
  bool converters = false;  // of the panel and light rails
  bool panel_switch = false;
  bool light = false;  // enable line at its active level, dimming line running
  double duty = 0;     // high time of the dimming line over its period
  Video video = Video::kNone;
};

/// Voltages and currents at the places that points name.
struct Levels {
  double supply_mv = 0, supply_ma = 0;
  double logic_mv = 0;
  double panel_selected_mv = 0, panel_mv = 0, panel_ma = 0;
  double light_selected_mv = 0, light_mv = 0, light_ma = 0;
  double keypad_mv = 0, keypad_ma = 0;
  double enable_mv = 0, dimming_mv = 0;
  bool panel_steady = false, light_steady = false;  // the ramp has ended since the rail was switched on
};

/// The electrical model: supply, input fuse, logic rail, panel rail with selector and soft-start switch,
/// light rail, keypad rail, and the two loads. Equations: sim/README.md. Stepped in time; it has no clock.
class Circuit {
 public:
  Circuit(const host::model::Kit& kit, const Spread& spread);

  /// Goes on by `step`. While it isn't settled, steps longer than kStep make ramps coarse.
  void advance(const Selections& straps, const Drive& drive, protocol::base::Duration step);

  /// Nothing has moved in the last step, so a step of any length changes nothing.
  [[nodiscard]] bool settled() const { return settled_; }

  /// The drive or a strap has changed: look again.
  void disturb() { settled_ = false; }

  [[nodiscard]] const Levels& levels() const { return levels_; }
  [[nodiscard]] const PanelLogic& panel() const { return panel_; }
  [[nodiscard]] const LightDriver& light() const { return light_; }
  [[nodiscard]] bool brown_out() const { return brown_out_; }
  [[nodiscard]] const PowerSample& sample() const { return sample_; }
  /// The supply's voltage without load; nothing: as the kit's supply makes it.
  void set_supply(std::optional<double> mv);

 private:
  void feed(double power_mw);
  [[nodiscard]] double output_mw() const;

  const host::model::Kit& kit_;
  const host::model::Rail* panel_rail_;
  const host::model::Rail* light_rail_;
  const host::model::Rail* keypad_rail_;
  double supply_own_mv_;  // of the kit's supply
  double supply_mv_;
  double logic_nominal_mv_;
  Spread spread_;
  Levels levels_;
  PowerSample sample_;
  PanelLogic panel_;
  LightDriver light_;
  bool settled_ = false;
  bool brown_out_ = false;
};

inline constexpr protocol::base::Duration kStep = protocol::base::microseconds(100);

}  // namespace sim::unit
