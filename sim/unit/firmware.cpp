#include "sim/unit/firmware.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

// Theory of operation
//
// The receiver tells when a source locks and when it is lost; the firmware answers with a sequence of acts,
// each scheduled when the one before it was done. The intervals are the panel's own, from the middle of what
// its data sheet allows. What the firmware can't sense (a rail that its straps leave floating, a panel that
// is dead) does not hold it up: such boards report "on" in front of a dark panel.
//
//   state      event                          acts                                            next
//   off        supply comes                   boot after 50 ms                                standby or
//   waking standby    (power_on = off)               converters stay off                             standby
//   waking     source locked                  panel on, link on, light on                     on
//   waking     1 s without lock               converters stay on, ahead of the open switch    no-signal
//   waking, on source lost                    light off, link off, panel off                  no-signal
//   no-signal  source locked                  as from waking, once the panel has rested       waking

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::base::Duration;
using protocol::base::Instant;

// A time inside a data sheet's limits: its typical one, else the middle, else a quarter above the least or
// half of the most.
Duration inside(const model::Bounds<model::Microseconds>& limits, Duration otherwise) {
  if (limits.nominal) return Duration{limits.nominal->count};
  if (limits.min && limits.max) return Duration{(limits.min->count + limits.max->count) / 2};
  if (limits.min) return Duration{limits.min->count + limits.min->count / 4};
  if (limits.max) return Duration{limits.max->count / 2};
  return otherwise;
}

constexpr Duration kSupplyToSignal = protocol::base::milliseconds(20);
constexpr Duration kSignalToLight = protocol::base::milliseconds(200);
constexpr Duration kLightToNoSignal = protocol::base::milliseconds(200);
constexpr Duration kSignalOffToSupplyOff = protocol::base::milliseconds(10);
constexpr Duration kRest = protocol::base::milliseconds(1'000);
constexpr double kMillion = 1e6;

}  // namespace

Firmware::Firmware(const model::Kit& kit, const Settings& settings) : kit_{kit}, settings_{settings} {}

void Firmware::power_up(Instant now) {
  events_.clear();
  events_.schedule(now + kBootTime, Act::kBoot);
}

void Firmware::source_locked(const model::Timing& source, Instant now) {
  source_ = source;
  if (state_ == PowerState::kWaking) {
    begin_picture(now);
  } else if (state_ == PowerState::kNoSignal) {
    enter(PowerState::kWaking, PowerReason::kSource);
    begin_picture(now);
  }
}

void Firmware::source_lost(Instant now) {
  source_.reset();
  if (state_ != PowerState::kOn && state_ != PowerState::kWaking) return;
  events_.clear();
  enter(PowerState::kNoSignal, PowerReason::kNoSource);
  light_on_ = false;
  events_.schedule(now + inside(kit_.panel.sequence.light_to_no_signal, kLightToNoSignal), Act::kLinkOff);
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
  Instant at = now;
  if (panel_off_at_) at = std::max(at, *panel_off_at_ + inside(kit_.panel.sequence.rest, kRest));
  events_.schedule(at, Act::kPanelOn);
}

void Firmware::act(Act act, Instant now) {
  const model::Panel::Sequence& sequence = kit_.panel.sequence;
  switch (act) {
    case Act::kBoot:
      running_ = true;
      started_at_ = now;
      if (settings_.power_on == model::PowerOn::kOff) {
        enter(PowerState::kStandby, PowerReason::kSupply);
        return;
      }
      enter(PowerState::kWaking, PowerReason::kSupply);
      events_.schedule(now + kSearchTime, Act::kNoSource);
      if (source_) begin_picture(now);
      return;
    case Act::kNoSource: enter(PowerState::kNoSignal, PowerReason::kNoSource); return;
    case Act::kPanelOn:
      panel_on_ = true;
      events_.schedule(now + kSoftStart + inside(sequence.supply_to_signal, kSupplyToSignal), Act::kLinkOn);
      return;
    case Act::kLinkOn:
      link_.reset();
      if (straps_.raster && source_) {
        link_ = link_signal(kit_.board.link, *straps_.raster, straps_.mapping, *source_);
      }
      link_on_ = link_.has_value();
      events_.schedule(now + inside(sequence.signal_to_light, kSignalToLight), Act::kLightOn);
      return;
    case Act::kLightOn:
      light_on_ = true;
      enter(PowerState::kOn, reason_);
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

void Firmware::enter(PowerState state, PowerReason reason) {
  state_ = state;
  reason_ = reason;
  ++changes_;
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

double Firmware::duty() const {
  const double brightness = static_cast<double>(settings_.brightness.count) / kMillion;
  return duty_of(kit_.board.light, brightness, straps_.sense.value_or(model::DimmingSense::kHighIsBrighter));
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
  drive.converters = running_ && state_ != PowerState::kOff && state_ != PowerState::kStandby;
  drive.panel_switch = panel_on_;
  drive.light = light_on_;
  drive.duty = duty();
  if (link_on_ && link_) drive.video = panel_takes(*link_) ? Video::kPicture : Video::kUnusable;
  return drive;
}

}  // namespace sim::unit
