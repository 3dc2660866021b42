#pragma once

#include <optional>

#include "host/model/panel.hpp"

namespace sim::unit {

/// What arrives at the panel's data pins.
enum class Video {
  kNone,      // link off
  kUnusable,  // a raster or a number of channels this panel doesn't take: it shows black by itself
  kPicture
};

/// The panel's own electronics behind its supply pins.
///
/// They start once the rail has reached the lower end of their window and stop a tenth below it; above the
/// absolute maximum they are destroyed for good.
class PanelLogic {
 public:
  explicit PanelLogic(const host::model::Panel::Supply& figures) : figures_{figures} {}

  /// The rail as it is at the panel now.
  void supply(double mv);

  /// Current drawn at the rail last given: idle without signal, black, or mid-grey (halfway between black
  /// and white) with a picture. Not started: a tenth of idle. Destroyed, or no rail: nothing.
  [[nodiscard]] double current_ma(Video video) const;

  [[nodiscard]] bool running() const { return running_; }
  [[nodiscard]] bool damaged() const { return damaged_; }

 private:
  host::model::Panel::Supply figures_;
  double mv_ = 0;
  bool running_ = false;
  bool damaged_ = false;
};

/// The backlight driver: a constant-power load, switched by its enable pin, dimmed by its PWM pin.
class LightDriver {
 public:
  explicit LightDriver(const host::model::Panel::Backlight& figures) : figures_{figures} {}

  /// The pins as they are now. `enable_mv` empty: the wire is open.
  void pins(double supply_mv, std::optional<double> enable_mv, double duty);

  /// Power drawn, mW: power at full brightness x brightness, while it is lit.
  [[nodiscard]] double power_mw() const;

  /// Brightness 0..1 that its dimming input asks for, by its own sense.
  [[nodiscard]] double brightness() const;

  [[nodiscard]] bool lit() const { return lit_; }
  [[nodiscard]] bool damaged() const { return damaged_; }

 private:
  host::model::Panel::Backlight figures_;
  double duty_ = 0;
  bool enabled_ = false;
  bool lit_ = false;
  bool damaged_ = false;
};

}  // namespace sim::unit
