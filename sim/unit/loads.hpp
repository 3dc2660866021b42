#pragma once

#include <optional>

#include "host/model/panel.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

/// What arrives at the panel's data pins.
enum class Video {
  kNone,      // link off
  kUnusable,  // a raster or a number of channels this panel doesn't take: it shows black by itself
  kMessage,   // the board's own words on black
  kPicture
};

/// The panel's own electronics behind its supply pins.
///
/// They start once the rail has reached the lower end of their window and stop a tenth below it, then no
/// sooner again than after kRestart; above the absolute maximum they are destroyed for good.
class PanelLogic {
 public:
  explicit PanelLogic(const host::model::Panel::Supply& figures) : figures_{figures} {}

  static constexpr protocol::base::Duration kRestart = protocol::base::milliseconds(200);

  /// The rail as it is at the panel now.
  void supply(double mv, protocol::base::Instant now);

  /// Current drawn at the rail last given: idle without signal, black, or mid-grey (halfway between black
  /// and white) with a picture. Not started: a tenth of idle. Destroyed, or no rail: nothing. Without its
  /// bias converters it never draws more than idle.
  [[nodiscard]] double current_ma(Video video, const Wrongs& wrongs) const;

  /// When it can start again after it stopped.
  [[nodiscard]] std::optional<protocol::base::Instant> restart_at() const { return restart_at_; }

  [[nodiscard]] bool running() const { return running_; }
  [[nodiscard]] bool damaged() const { return damaged_; }

 private:
  host::model::Panel::Supply figures_;
  double mv_ = 0;
  std::optional<protocol::base::Instant> restart_at_;
  bool running_ = false;
  bool damaged_ = false;
};

/// The backlight driver: a constant-power load, switched by its enable pin, dimmed by its dimming pin.
class LightDriver {
 public:
  explicit LightDriver(const host::model::Panel::Backlight& figures) : figures_{figures} {}

  struct Pins {
    double supply_mv = 0;
    std::optional<double> enable_mv;  // empty: the wire is open
    double duty = 0;                  // of the dimming pin
    double dimming_mv = 0;            // its mean level
  };
  void pins(const Pins& pins, const Wrongs& wrongs);

  /// Power drawn, mW: power at full brightness x brightness, while it is lit; an open string's share less, a
  /// worn lamp's tenth more.
  [[nodiscard]] double power_mw(const Wrongs& wrongs) const;

  /// Brightness 0..1 that its dimming input asks for, by its own sense.
  [[nodiscard]] double brightness() const;

  [[nodiscard]] bool lit() const { return lit_; }
  [[nodiscard]] bool damaged() const { return damaged_; }

 private:
  host::model::Panel::Backlight figures_;
  Pins pins_;
  bool enabled_ = false;
  bool lit_ = false;
  bool damaged_ = false;
};

inline constexpr double kStringShare = 0.75;   // of the light, with one of four strings open
inline constexpr double kWornLampPower = 1.1;  // of a new lamp's at the same current

}  // namespace sim::unit
