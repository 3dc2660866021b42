#pragma once

#include <cstdint>
#include <optional>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/circuit.hpp"
#include "sim/unit/receiver.hpp"
#include "sim/unit/settings.hpp"
#include "sim/unit/strap_logic.hpp"
#include "sim/world/event_queue.hpp"

namespace sim::unit {

/// In the order of the choices of power.state and power.reason.
enum class PowerState { kOff, kStandby, kNoSignal, kWaking, kOn, kLatched };
enum class PowerReason { kSupply, kKey, kCommand, kNoSource, kSource, kFault, kTimer };

/// The board's program: decides the power state and what is switched, in the order the panel wants. Theory of
/// operation and transition table: firmware.cpp.
class Firmware {
 public:
  /// References outlive it. The straps it goes by are given with power_up() and straps_changed().
  Firmware(const host::model::Kit& kit, const Settings& settings);

  /// The supply has come: boots after kBootTime, with the straps as they stand at that reset.
  void power_up(protocol::base::Instant now);

  void straps_changed(const Selections& straps) { straps_ = straps; }
  void source_locked(const host::model::Timing& source, protocol::base::Instant now);
  void source_lost(protocol::base::Instant now);

  [[nodiscard]] std::optional<protocol::base::Instant> next() const { return events_.next(); }
  /// Does what is due. Returns whether anything was.
  bool run(protocol::base::Instant now);

  [[nodiscard]] Drive drive() const;
  [[nodiscard]] PowerState state() const { return state_; }
  [[nodiscard]] PowerReason reason() const { return reason_; }
  [[nodiscard]] bool running() const { return running_; }
  [[nodiscard]] protocol::base::Instant started_at() const { return started_at_; }
  [[nodiscard]] const Settings& settings() const { return settings_; }
  void set_settings(const Settings& settings) { settings_ = settings; }
  [[nodiscard]] const Selections& straps() const { return straps_; }
  [[nodiscard]] bool link_enabled() const { return link_on_; }
  /// What goes to the panel while the link is enabled.
  [[nodiscard]] const std::optional<LinkSignal>& link() const { return link_; }
  /// Changes of power state since the start.
  [[nodiscard]] std::uint16_t changes() const { return changes_; }

  static constexpr protocol::base::Duration kBootTime = protocol::base::milliseconds(50);
  static constexpr protocol::base::Duration kSearchTime = protocol::base::milliseconds(1'000);

 private:
  enum class Act { kBoot, kNoSource, kPanelOn, kLinkOn, kLightOn, kLinkOff, kPanelOff };

  void act(Act act, protocol::base::Instant now);
  void enter(PowerState state, PowerReason reason);
  void begin_picture(protocol::base::Instant now);
  [[nodiscard]] double duty() const;
  [[nodiscard]] bool panel_takes(const LinkSignal& signal) const;

  const host::model::Kit& kit_;
  Settings settings_;
  Selections straps_;
  world::EventQueue<Act> events_;
  std::optional<host::model::Timing> source_;
  std::optional<LinkSignal> link_;
  std::optional<protocol::base::Instant> panel_off_at_;
  protocol::base::Instant started_at_{};
  PowerState state_ = PowerState::kOff;
  PowerReason reason_ = PowerReason::kSupply;
  std::uint16_t changes_ = 0;
  bool running_ = false;
  bool panel_on_ = false;
  bool link_on_ = false;
  bool light_on_ = false;
};

/// Duty of the dimming line for a brightness, both 0..1: straight between the board's points, turned round
/// for low-is-brighter. Below the first and above the last point their duty holds; without points duty is
/// brightness.
[[nodiscard]] double duty_of(const host::model::Board::LightOutput& light, double brightness,
                             host::model::DimmingSense sense);

}  // namespace sim::unit
