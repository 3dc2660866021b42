#include "sim/unit/firmware.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

// Theory of operation
//
// The receiver tells when a source locks and when it is lost; the firmware answers with a sequence of acts,
// each scheduled when the one before it was done. The intervals are the panel's own. What the firmware can't
// sense (a rail that its straps leave floating, a panel that is dead) does not hold it up: such boards report
// "on" in front of a dark panel. What it measures itself ten times a second can latch a fault:
// firmware_watch.
//
//   state      event                          acts                                            next
//   off        supply comes, or reset         boot after 50 ms                                standby or
//   waking standby    (power_on = off)               converters stay off                             standby
//   standby    key, command                   search for a source                             waking
//   waking     source locked                  panel on, link on, light on                     on
//   waking     1 s without lock               converters stay on, ahead of the open switch    no-signal
//   waking, on source lost                    light off, link off, panel off                  no-signal
//   no-signal  source locked                  as from waking, once the panel has rested       waking
//   any        key, command                   light off, link off, panel off                  standby
//   any        panel rail folds back, too hot light, link and panel off at once               latched
//   latched    key, reset, supply             as from off                                     waking
//   any        supply goes                    everything falls                                off

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;

constexpr Duration kSignalOffToSupplyOff = protocol::base::milliseconds(10);
constexpr Duration kFastLight = protocol::base::milliseconds(5);
constexpr double kMillion = 1e6;

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
  running_ = panel_on_ = link_on_ = light_on_ = false;
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
  running_ = panel_on_ = link_on_ = light_on_ = false;
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

void Firmware::switch_power(PowerReason reason, bool on, Instant now) {
  if (!running_) return;
  memory_.was_on = on;
  if (!on) {
    if (state_ == PowerState::kStandby) return;
    end_picture(now);
    enter(PowerState::kStandby, reason, now);
    return;
  }
  enter(PowerState::kWaking, reason, now);
  events_.clear();
  events_.schedule(now + kSearchTime, Act::kNoSource);
  if (settings_.scan) events_.schedule(now + kSearchTime / 2, Act::kScan);
  if (source_) begin_picture(now);
}

void Firmware::source_locked(const model::Timing& source, Instant now) {
  source_ = source;
  if (running_) log(EventCode::kLock, 1, now);
  if (state_ == PowerState::kWaking) {
    begin_picture(now);
  } else if (state_ == PowerState::kNoSignal) {
    enter(PowerState::kWaking, PowerReason::kSource, now);
    begin_picture(now);
  }
}

void Firmware::source_lost(Instant now) {
  source_.reset();
  if (running_) log(EventCode::kLock, 0, now);
  if (state_ != PowerState::kOn && state_ != PowerState::kWaking) return;
  enter(PowerState::kNoSignal, PowerReason::kNoSource, now);
  end_picture(now);
  if (settings_.scan) events_.schedule(now + kSearchTime, Act::kScan);
}

void Firmware::end_picture(Instant now) {
  events_.clear();
  light_on_ = false;
  if (link_on_) {
    events_.schedule(now + plan_.light_to_no_signal, Act::kLinkOff);
  } else if (panel_on_) {
    events_.schedule(now + kSignalOffToSupplyOff, Act::kPanelOff);
  }
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

bool Firmware::run(Instant now) {
  bool acted = false;
  while (const auto due = events_.pop(now)) {
    act(*due, now);
    acted = true;
  }
  return acted;
}

void Firmware::begin_picture(Instant now) {
  events_.clear();
  if (panel_on_) {  // it came back before the panel was switched off
    events_.schedule(now, Act::kLinkOn);
    return;
  }
  Instant at = now;
  if (panel_off_at_) at = std::max(at, *panel_off_at_ + plan_.rest);
  events_.schedule(at, Act::kPanelOn);
}

void Firmware::act(Act act, Instant now) {
  switch (act) {
    case Act::kBoot: boot(now); return;
    case Act::kNoSource: enter(PowerState::kNoSignal, PowerReason::kNoSource, now); return;
    case Act::kScan:
      if (source_) return;
      selected_input_ = (selected_input_ + 1) % std::max<std::size_t>(kit_.board.inputs.size(), 1);
      events_.schedule(now + kSearchTime, Act::kScan);
      return;
    case Act::kPanelOn:
      panel_on_ = true;
      events_.schedule(now + kSoftStart + plan_.supply_to_signal, Act::kLinkOn);
      return;
    case Act::kLinkOn: {
      refresh_link();
      link_on_ = link_.has_value();
      const bool fast = wrongs_.acts(Kind::kSequenceFastBacklight);
      events_.schedule(now + (fast ? kFastLight : plan_.signal_to_light), Act::kLightOn);
      return;
    }
    case Act::kLightOn:
      light_on_ = true;
      light_on_at_ = now;
      enter(PowerState::kOn, reason_, now);
      return;
    case Act::kLinkOff:
      link_on_ = false;
      events_.schedule(now + kSignalOffToSupplyOff, Act::kPanelOff);
      return;
    case Act::kPanelOff:
      panel_on_ = false;
      panel_off_at_ = now;
      return;
  }
}

void Firmware::refresh_link() {
  link_.reset();
  if (!straps_.raster || !source_) return;
  link_ = link_signal(kit_.board.link, *straps_.raster, straps_.mapping, *source_);
  if (wrongs_.acts(Kind::kPanelClockOff)) {
    const auto off = wrongs_.argument<model::PartsPerMillion>(Kind::kPanelClockOff);
    link_->pixel_clock = link_->pixel_clock + model::share_of(link_->pixel_clock, off);
    const std::int64_t channel = link_->channels > 0 ? link_->pixel_clock.count / link_->channels : 0;
    link_->pll_locked =
        link_->pll_locked && channel > 0 && channel <= kit_.board.link.channel_clock_max.count;
  }
}

void Firmware::enter(PowerState state, PowerReason reason, Instant now) {
  state_ = state;
  reason_ = reason;
  ++changes_;
  log(EventCode::kPowerState, static_cast<std::uint16_t>(state), now);
}

double Firmware::duty() const {
  const model::DimmingSense sense = straps_.sense.value_or(model::DimmingSense::kHighIsBrighter);
  // A voltage has a curve of its own over brightness; the duty's doesn't come into it.
  if (kit_.panel.backlight.dimming.by == model::DimmingKind::kAnalogue &&
      !kit_.board.light.level_at.empty()) {
    return sense == model::DimmingSense::kHighIsBrighter ? effective() : 1 - effective();
  }
  return duty_of(kit_.board.light, effective(), sense);
}

bool Firmware::panel_takes(const LinkSignal& signal) const {
  const model::Panel& panel = kit_.panel;
  return signal.pll_locked && signal.channels == panel.link.channels &&
         signal.raster.columns == panel.signal.raster_columns &&
         signal.raster.lines == panel.signal.raster_lines &&
         panel.signal.pixel_clock.contains(signal.pixel_clock);
}

Drive Firmware::drive() const {
  Drive drive;
  drive.converters =
      running_ && state_ != PowerState::kOff && (state_ != PowerState::kStandby || panel_on_ || link_on_);
  drive.panel_switch = panel_on_;
  drive.light = light_on_;
  drive.duty = duty();
  drive.hertz = static_cast<double>(settings_.pwm_frequency.count);
  if (link_on_ && link_) drive.video = panel_takes(*link_) ? Video::kPicture : Video::kUnusable;
  return drive;
}

double duty_of(const model::Board::LightOutput& light, double brightness, model::DimmingSense sense) {
  double duty = brightness;
  if (!light.duty_at.empty()) {
    const auto above = light.duty_at.lower_bound({std::llround(brightness * kMillion)});
    if (above == light.duty_at.end()) {
      duty = static_cast<double>(light.duty_at.rbegin()->second.count) / kMillion;
    } else if (above == light.duty_at.begin()) {
      duty = static_cast<double>(above->second.count) / kMillion;
    } else {
      const auto below = std::prev(above);
      const double x0 = static_cast<double>(below->first.count) / kMillion;
      const double x1 = static_cast<double>(above->first.count) / kMillion;
      const double y0 = static_cast<double>(below->second.count) / kMillion;
      const double y1 = static_cast<double>(above->second.count) / kMillion;
      duty = y0 + (y1 - y0) * (brightness - x0) / (x1 - x0);
    }
  }
  return sense == model::DimmingSense::kHighIsBrighter ? duty : 1 - duty;
}

}  // namespace sim::unit
