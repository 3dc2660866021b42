#include "sim/unit/firmware.hpp"

#include <algorithm>
#include <utility>

// Theory of operation
//
// The receiver tells when a source locks and when it is lost; the firmware answers with a sequence of acts,
// each scheduled when the one before it was done. The intervals are the panel's own. What the firmware can't
// sense (a rail that its straps leave floating, a panel that is dead) does not hold it up: such boards report
// "on" in front of a dark panel. What it measures itself ten times a second can latch a fault:
// firmware_watch.
//
//   state        event                       acts                                           next
//   off          supply comes, or reset      boot after 50 ms; power_on tells which         standby, waking
//   standby      key, command                search for a source                            waking
//   waking       source locked               panel on, link on, light on                    on
//   waking       1 s without lock            message, if the board has one: panel, link,    no-signal
//                                            light on; else converters stay on, ahead of
//                                            the open switch
//   waking, on   source lost                 message: all stays on, the link with the       no-signal
//                                            board's own frames; else light, link, panel off
//   no-signal    message has stood its time  light off, link off, panel off                 no-signal
//   no-signal    source locked, lit message  link with the source's frames                  on
//   no-signal    source locked, else         as from waking, once the panel has rested      waking
//   any          key, command                light off, link off, panel off                 standby
//   any          rail folds back, too hot    light, link and panel off at once              latched
//   latched      key, reset, supply          as from off                                    waking
//   any          supply goes                 everything falls                               off

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Instant;

// What it goes by when its memory makes no sense.
Settings factory_settings(const model::Kit& kit) {
  Settings settings;
  settings.brightness = {1'000'000};
  settings.power_on = model::PowerOn::kAlways;
  settings.pwm_frequency = kit.board.light.pwm;
  return settings;
}

}  // namespace

Firmware::Firmware(const model::Kit& kit, Memory memory, const SequencePlan& plan, const Wrongs& wrongs)
    : kit_{kit}, wrongs_{wrongs}, memory_{std::move(memory)}, plan_{plan}, settings_{memory_.settings} {
  selected_input_ = settings_.input;
}

void Firmware::power_up(ResetCause cause, Instant now) {
  if (running_ && panel_on_) panel_off_at_ = now;
  running_ = panel_on_ = link_on_ = light_on_ = message_ = false;
  state_ = PowerState::kOff;
  reset_cause_ = cause;
  latched_ = 0;
  thermal_limit_ = 1;
  folded_rounds_ = stray_rounds_ = dark_rounds_ = 0;
  key_since_.reset();
  events_.clear();
  events_.schedule(now + kBootTime, Act::kBoot);
}

void Firmware::power_lost(Instant now) {
  if (panel_on_) panel_off_at_ = now;
  running_ = panel_on_ = link_on_ = light_on_ = message_ = false;
  state_ = PowerState::kOff;
  reason_ = PowerReason::kSupply;
  source_.reset();
  events_.clear();
}

void Firmware::boot(Instant now) {
  running_ = true;
  started_at_ = now;
  ++memory_.boot;
  if (reset_cause_ == ResetCause::kPower) ++memory_.power_cycles;
  log(EventCode::kStarted, static_cast<std::uint16_t>(reset_cause_), now);
  if (reset_cause_ == ResetCause::kBrownOut) latch(Latch::kSupply, now);
  read_settings(now);
  const bool stay_off = settings_.power_on == model::PowerOn::kOff ||
                        (settings_.power_on == model::PowerOn::kLast && !memory_.was_on);
  if (stay_off) {
    enter(PowerState::kStandby, PowerReason::kSupply, now);
  } else if (wrongs_.acts(Kind::kSoftOff)) {
    memory_.was_on = false;
    enter(PowerState::kStandby, PowerReason::kKey, now);
  } else {
    switch_power(PowerReason::kSupply, true, now);
  }
}

void Firmware::read_settings(Instant now) {
  settings_ = memory_.settings;
  if (wrongs_.acts(Kind::kSettingsLost)) {
    settings_ = factory_settings(kit_);
    log(EventCode::kSettingsLost, 0, now);
    latch(Latch::kSettings, now);
  }
  if (settings_.input >= std::max<std::size_t>(kit_.board.inputs.size(), 1)) settings_.input = 0;
  selected_input_ = settings_.input;
}

void Firmware::set_settings(const Settings& settings, Instant now) {
  const auto note = [&](bool changed, std::uint16_t which) {
    if (!changed) return;
    ++changes_;
    if (running_) log(EventCode::kSettingChanged, which, now);
  };
  note(settings.brightness != settings_.brightness, 0);
  note(settings.power_on != settings_.power_on, 1);
  note(settings.pwm_frequency != settings_.pwm_frequency, 2);
  note(settings.input != settings_.input, 3);
  note(settings.scan != settings_.scan, 4);
  settings_ = settings;
  memory_.settings = settings;
  selected_input_ = settings.input;
}

void Firmware::set_stamp(const Stamp& stamp, Instant now) {
  if (stamp == memory_.stamp) return;
  memory_.stamp = stamp;
  ++changes_;
  log(EventCode::kStamped, 0, now);
}

void Firmware::key_pressed(int key, Instant now) {
  if (!running_) return;
  constexpr std::int64_t kBrightnessStep = 100'000;
  log(EventCode::kKey, static_cast<std::uint16_t>(key), now);
  Settings changed = settings_;
  switch (key) {
    case 1:
      switch_power(PowerReason::kKey, state_ == PowerState::kStandby || state_ == PowerState::kLatched, now);
      return;
    case 2:
      changed.brightness.count =
          std::min<std::int64_t>(1'000'000, changed.brightness.count + kBrightnessStep);
      break;
    case 3:
      changed.brightness.count = std::max<std::int64_t>(0, changed.brightness.count - kBrightnessStep);
      break;
    case 4: changed.input = (changed.input + 1) % std::max<std::size_t>(kit_.board.inputs.size(), 1); break;
    default: return;
  }
  set_settings(changed, now);
}

void Firmware::enter(PowerState state, PowerReason reason, Instant now) {
  state_ = state;
  reason_ = reason;
  ++changes_;
  log(EventCode::kPowerState, static_cast<std::uint16_t>(state), now);
}

}  // namespace sim::unit
