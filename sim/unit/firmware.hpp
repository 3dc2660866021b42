#pragma once

#include <cstdint>
#include <optional>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/circuit.hpp"
#include "sim/unit/memory.hpp"
#include "sim/unit/receiver.hpp"
#include "sim/unit/sequence_plan.hpp"
#include "sim/unit/settings.hpp"
#include "sim/unit/strap_logic.hpp"
#include "sim/unit/wrongs.hpp"
#include "sim/world/event_queue.hpp"

namespace sim::unit {

/// In the order of the choices of power.state, power.reason, snapshot.reset_cause and backlight.limited_by.
enum class PowerState { kOff, kStandby, kNoSignal, kWaking, kOn, kLatched };
enum class PowerReason { kSupply, kKey, kCommand, kNoSource, kSource, kFault, kTimer };
enum class ResetCause { kPower, kWatchdog, kCommand, kBrownOut };
enum class LimitedBy { kNothing, kTemperature, kAmbient, kSupply, kSetting };
/// Bits of faults.latched.
enum class Latch { kSupply, kPanelRail, kLightDriver, kOverTemperature, kSettings, kKeypad };

/// The board's program: decides the power state and what is switched, in the order the panel wants. Theory of
/// operation and transition table: firmware.cpp.
class Firmware {
 public:
  /// References outlive it. The straps it goes by are given with straps_changed().
  Firmware(const host::model::Kit& kit, Memory memory, const SequencePlan& plan, const Wrongs& wrongs);

  // What reaches the processor.

  /// Its supply has come, or it is reset: boots after kBootTime.
  void power_up(ResetCause cause, protocol::base::Instant now);
  /// Its supply has gone: everything it drives falls.
  void power_lost(protocol::base::Instant now);

  /// A link that is on follows at once.
  void straps_changed(const Selections& straps);
  void source_locked(const host::model::Timing& source, protocol::base::Instant now);
  void source_lost(protocol::base::Instant now);
  void key_pressed(int key, protocol::base::Instant now);
  /// Switches on and off as the power key does.
  void switch_power(PowerReason reason, bool on, protocol::base::Instant now);
  void set_settings(const Settings& settings, protocol::base::Instant now);
  void set_stamp(const Stamp& stamp, protocol::base::Instant now);
  /// The settings memory has changed under it: reads it again, as at a start.
  void read_settings(protocol::base::Instant now);
  /// The link's clock or raster has changed.
  void refresh_link();

  /// Its measuring round, ten times a second.
  struct Round {
    const Levels& levels;
    double board_degrees = 0;
    bool panel_folded = false;
    bool brown_out = false;
    bool key_held = false;
  };
  /// Returns whether it changed an output.
  bool watch(const Round& round, protocol::base::Instant now);

  [[nodiscard]] std::optional<protocol::base::Instant> next() const { return events_.next(); }
  /// Does what is due. Returns whether anything was.
  bool run(protocol::base::Instant now);

  // What it does and believes.

  [[nodiscard]] Drive drive() const;
  [[nodiscard]] PowerState state() const { return state_; }
  [[nodiscard]] PowerReason reason() const { return reason_; }
  [[nodiscard]] ResetCause reset_cause() const { return reset_cause_; }
  [[nodiscard]] bool running() const { return running_; }
  [[nodiscard]] protocol::base::Instant started_at() const { return started_at_; }
  [[nodiscard]] const Settings& settings() const { return settings_; }
  [[nodiscard]] std::size_t selected_input() const { return selected_input_; }
  [[nodiscard]] double effective() const;  // brightness 0..1 after every limit
  [[nodiscard]] LimitedBy limited_by() const;
  [[nodiscard]] std::uint16_t latched() const { return latched_; }
  [[nodiscard]] const Selections& straps() const { return straps_; }
  [[nodiscard]] bool link_enabled() const { return link_on_; }
  /// What goes to the panel while the link is enabled.
  [[nodiscard]] const std::optional<LinkSignal>& link() const { return link_; }
  [[nodiscard]] const std::optional<host::model::Timing>& source() const { return source_; }
  /// It has no source and says so on the panel, or is about to; what its link sends are the board's words.
  [[nodiscard]] bool message() const { return kit_.board.message_for && !source_ && (message_ || link_on_); }
  /// A picture or a message is lit: what is behind the switches can be measured.
  [[nodiscard]] bool showing() const {
    return state_ == PowerState::kOn || (state_ == PowerState::kNoSignal && message_ && light_on_);
  }
  /// The panel takes what the link sends.
  [[nodiscard]] bool panel_takes(const LinkSignal& signal) const;
  /// Changes of power state, message and settings since the start.
  [[nodiscard]] std::uint16_t changes() const { return changes_; }
  [[nodiscard]] const Memory& memory() const { return memory_; }
  /// Lives the counters of life.
  void count_life(protocol::base::Duration passed);
  void log(EventCode code, std::uint16_t value, protocol::base::Instant now);

  static constexpr protocol::base::Duration kBootTime = protocol::base::milliseconds(50);
  static constexpr protocol::base::Duration kSearchTime = protocol::base::milliseconds(1'000);

 private:
  enum class Act { kBoot, kNoSource, kScan, kPanelOn, kLinkOn, kLightOn, kMessageOver, kLinkOff, kPanelOff };

  void act(Act act, protocol::base::Instant now);
  void boot(protocol::base::Instant now);
  void enter(PowerState state, PowerReason reason, protocol::base::Instant now);
  void begin_picture(protocol::base::Instant now);
  void end_picture(protocol::base::Instant now);
  void switch_on(protocol::base::Instant now);
  void switch_off(protocol::base::Instant now);
  void begin_message(protocol::base::Instant now);
  void take_over(protocol::base::Instant now);
  void lit(protocol::base::Instant now);
  void latch(Latch what, protocol::base::Instant now);
  void shut_down(Latch what, protocol::base::Instant now);
  [[nodiscard]] double duty() const;

  const host::model::Kit& kit_;
  const Wrongs& wrongs_;
  Memory memory_;
  SequencePlan plan_;
  Settings settings_;  // as it goes by them
  Selections straps_;
  world::EventQueue<Act> events_;
  std::optional<host::model::Timing> source_;
  std::optional<LinkSignal> link_;
  std::optional<protocol::base::Instant> panel_off_at_, light_on_at_, key_since_;
  protocol::base::Instant started_at_{};
  protocol::base::Duration board_time_{}, light_time_{};
  PowerState state_ = PowerState::kOff;
  PowerReason reason_ = PowerReason::kSupply;
  ResetCause reset_cause_ = ResetCause::kPower;
  std::size_t selected_input_ = 0;
  double thermal_limit_ = 1;
  int folded_rounds_ = 0, stray_rounds_ = 0, dark_rounds_ = 0;
  std::uint16_t latched_ = 0;
  std::uint16_t changes_ = 0;
  bool was_brown_out_ = false;
  bool running_ = false;
  bool panel_on_ = false;
  bool link_on_ = false;
  bool light_on_ = false;
  bool message_ = false;  // it is wanted; its frames stay on the link until that is off
};

/// Duty of the dimming line for a brightness, both 0..1: straight between the board's points, turned round
/// for low-is-brighter. Below the first and above the last point their duty holds; without points duty is
/// brightness.
[[nodiscard]] double duty_of(const host::model::Board::LightOutput& light, double brightness,
                             host::model::DimmingSense sense);

}  // namespace sim::unit
