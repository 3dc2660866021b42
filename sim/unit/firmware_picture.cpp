// The way to a picture and back: acts in the order and at the intervals the panel wants.

#include <algorithm>

#include "sim/unit/firmware.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;

constexpr Duration kSignalOffToSupplyOff = protocol::base::milliseconds(10);
constexpr Duration kFastLight = protocol::base::milliseconds(5);

}  // namespace

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

void Firmware::end_picture(Instant now) {
  events_.clear();
  light_on_ = false;
  if (link_on_) {
    events_.schedule(now + plan_.light_to_no_signal, Act::kLinkOff);
  } else if (panel_on_) {
    events_.schedule(now + kSignalOffToSupplyOff, Act::kPanelOff);
  }
}

bool Firmware::run(Instant now) {
  bool acted = false;
  while (const auto due = events_.pop(now)) {
    act(*due, now);
    acted = true;
  }
  return acted;
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

}  // namespace sim::unit
