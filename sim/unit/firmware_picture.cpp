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
  } else if (state_ == PowerState::kNoSignal && message_) {
    take_over(now);
  } else if (state_ == PowerState::kNoSignal) {
    enter(PowerState::kWaking, PowerReason::kSource, now);
    begin_picture(now);
  }
}

// A message stands, or is on its way: the way goes on, with the source's frames.
void Firmware::take_over(Instant now) {
  message_ = false;
  if (link_on_) refresh_link();
  if (light_on_) events_.clear();
  enter(light_on_ ? PowerState::kOn : PowerState::kWaking, PowerReason::kSource, now);
}

void Firmware::source_lost(Instant now) {
  source_.reset();
  if (running_) log(EventCode::kLock, 0, now);
  if (state_ != PowerState::kOn && state_ != PowerState::kWaking) return;
  enter(PowerState::kNoSignal, PowerReason::kNoSource, now);
  if (kit_.board.message_for) {
    begin_message(now);
  } else {
    end_picture(now);
  }
  if (settings_.scan) events_.schedule(now + kSearchTime, Act::kScan);
}

// The source was lost: light that burns burns on, and a way to it that has begun goes on.
void Firmware::begin_message(Instant now) {
  message_ = true;
  if (link_on_) refresh_link();
  if (!light_on_) return;
  events_.clear();
  lit(now);
}

// The light is there, for a picture or for a message.
void Firmware::lit(Instant now) {
  if (!message_) {
    enter(PowerState::kOn, reason_, now);
    return;
  }
  ++changes_;
  events_.schedule(now + Duration{kit_.board.message_for->count}, Act::kMessageOver);
}

void Firmware::begin_picture(Instant now) {
  events_.clear();
  message_ = false;
  switch_on(now);
}

void Firmware::switch_on(Instant now) {
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
  switch_off(now);
}

void Firmware::switch_off(Instant now) {
  light_on_ = message_ = false;
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
    case Act::kNoSource:
      enter(PowerState::kNoSignal, PowerReason::kNoSource, now);
      if (kit_.board.message_for) {
        message_ = true;
        switch_on(now);
      } else {
        switch_off(now);  // a panel that was still on as the key came again
      }
      return;
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
      link_on_ = true;  // with frames in it as soon as the straps select a raster
      const bool fast = wrongs_.acts(Kind::kSequenceFastBacklight);
      events_.schedule(now + (fast ? kFastLight : plan_.signal_to_light), Act::kLightOn);
      return;
    }
    case Act::kLightOn:
      light_on_ = true;
      light_on_at_ = now;
      lit(now);
      return;
    case Act::kMessageOver:
      ++changes_;
      switch_off(now);
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
