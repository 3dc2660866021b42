#pragma once

#include <optional>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/branch.hpp"
#include "sim/unit/dimming_line.hpp"
#include "sim/unit/loads.hpp"
#include "sim/unit/spread.hpp"
#include "sim/unit/strap_logic.hpp"
#include "sim/unit/supply.hpp"
#include "sim/unit/switched_rail.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

inline constexpr double kKeypadOhm = 10'000;  // ladder of a keypad, no key held
inline constexpr double kKeyOhm = 1'000;      // of key 1; key n has n times that
inline constexpr double kLightFarad = 220e-6;

/// What the firmware commands.
struct Drive {
  bool converters = false;  // of the panel and light rails
  bool panel_switch = false;
  bool light = false;  // enable line at its active level, dimming line running
  double duty = 0;     // high time of the dimming line over its period
  double hertz = 0;    // of the dimming line
  Video video = Video::kNone;
};

/// Voltages and currents at the places that points name.
struct Levels {
  double supply_mv = 0, supply_ma = 0;
  double logic_mv = 0;
  double panel_selected_mv = 0, panel_mv = 0, panel_ma = 0;
  double light_selected_mv = 0, light_mv = 0, light_ma = 0;
  double keypad_mv = 0, keypad_ma = 0;
  double enable_mv = 0;
  DimmingLine dimming;
  bool supply_steady = false;                       // it has risen, and not gone since
  bool panel_steady = false, light_steady = false;  // the ramp has ended since the rail was switched on
};

/// The electrical model: supply and input, logic rail, panel rail with selector and soft-start switch, light
/// rail, keypad ladder, and the two loads. Equations: sim/README.md. Stepped in time; it has no clock.
class Circuit {
 public:
  /// References outlive it.
  Circuit(const host::model::Kit& kit, const Spread& spread, const Wrongs& wrongs);

  struct Inputs {
    const Selections& straps;
    const Drive& drive;
    int key = 0;  // held down; 0: none
  };
  /// Goes on by `step` up to `now`. While it isn't settled, steps longer than kStep make ramps coarse.
  void advance(const Inputs& inputs, protocol::base::Instant now, protocol::base::Duration step);

  /// Nothing has moved in the last step, so a step of any length changes nothing before next().
  [[nodiscard]] bool settled() const { return settled_; }
  [[nodiscard]] std::optional<protocol::base::Instant> next(protocol::base::Instant now) const;

  /// The drive, a strap or a fault has changed: look again.
  void disturb() { settled_ = false; }

  /// The supply's voltage without load; nothing: as the kit's supply makes it.
  void set_supply(std::optional<double> mv) {
    supply_.set(mv);
    settled_ = false;
  }

  [[nodiscard]] const Levels& levels() const { return levels_; }
  [[nodiscard]] const PowerSample& sample() const { return sample_; }
  [[nodiscard]] const PanelLogic& panel() const { return panel_; }
  [[nodiscard]] const LightDriver& light() const { return light_; }
  [[nodiscard]] const Supply& supply() const { return supply_; }
  [[nodiscard]] double panel_farad() const { return panel_out_.farad(); }
  /// What reaches the panel's data pins.
  [[nodiscard]] Video video() const { return video_; }
  [[nodiscard]] bool brown_out() const { return brown_out_; }
  [[nodiscard]] bool panel_folded() const { return panel_out_.folded(); }

 private:
  [[nodiscard]] double taken_mw() const;
  [[nodiscard]] double source_mv(const host::model::Rail* rail, const std::optional<double>& chosen,
                                 double factor, const Drive& drive) const;
  void panel_data(const Inputs& inputs);
  void panel_rail(const Inputs& inputs, protocol::base::Instant now, protocol::base::Duration step);
  void light_rail(const Inputs& inputs, protocol::base::Duration step);
  void keypad(const Inputs& inputs);
  void take_sample();

  const host::model::Kit& kit_;
  const Wrongs& wrongs_;
  const host::model::Rail* panel_rail_;
  const host::model::Rail* light_rail_;
  const host::model::Rail* keypad_rail_;
  double input_min_mv_;
  double logic_nominal_mv_;
  Spread spread_;
  Levels levels_;
  PowerSample sample_;
  Supply supply_;
  SwitchedRail panel_out_, light_out_;
  PanelLogic panel_;
  LightDriver light_;
  Video video_ = Video::kNone;
  bool regulating_ = false;
  bool settled_ = false;
  bool brown_out_ = false;
};

inline constexpr protocol::base::Duration kStep = protocol::base::microseconds(100);

/// Whether a rail hands on what the input has.
[[nodiscard]] bool passes(const host::model::Rail* rail);

}  // namespace sim::unit
