// What the firmware makes of its own measurements, ten times a second: limits of brightness, latched faults.

#include <algorithm>
#include <cmath>

#include "sim/unit/firmware.hpp"

namespace sim::unit {
namespace {

using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::points::Point;

// Limits that such boards usually have.
constexpr double kDerateFrom = 70;  // °C of the board: full brightness up to here
constexpr double kDerateTo = 85;    // down to kDeratedShare here
constexpr double kDeratedShare = 0.3;
constexpr double kTooHot = 95;
constexpr double kSensorShare = 0.3;  // of full brightness, when the ambient sensor sees darkness
constexpr int kFoldedRounds = 2;      // 0.2 s
constexpr int kStrayRounds = 3;
constexpr int kDarkRounds = 5;
constexpr double kLightExpectedMa = 20;  // less is too little to tell
constexpr double kLightMissing = 0.1;    // of what it should draw
constexpr Duration kKeyStuck = protocol::base::milliseconds(30'000);

double thermal_limit(double degrees) {
  if (degrees <= kDerateFrom) return 1;
  const double share = std::min(1.0, (degrees - kDerateFrom) / (kDerateTo - kDerateFrom));
  return std::round((1 - (1 - kDeratedShare) * share) * 100) / 100;  // in steps of a hundredth
}

}  // namespace

double Firmware::effective() const {
  const double commanded = static_cast<double>(settings_.brightness.count) / 1e6;
  double effective = std::min(commanded, thermal_limit_);
  if (effective > kSensorShare && wrongs_.has(Kind::kDimmedBySensor)) {
    wrongs_.count(Kind::kDimmedBySensor);
    effective = kSensorShare;
  }
  return effective;
}

LimitedBy Firmware::limited_by() const {
  const double commanded = static_cast<double>(settings_.brightness.count) / 1e6;
  const double limited = effective();
  if (limited >= commanded) return LimitedBy::kNothing;
  return limited < thermal_limit_ ? LimitedBy::kAmbient : LimitedBy::kTemperature;
}

void Firmware::latch(Latch what, Instant now) {
  const auto bit = static_cast<std::uint16_t>(1U << static_cast<unsigned>(what));
  if ((latched_ & bit) != 0) return;
  latched_ = static_cast<std::uint16_t>(latched_ | bit);
  log(EventCode::kFaultLatched, static_cast<std::uint16_t>(what), now);
}

void Firmware::shut_down(Latch what, Instant now) {
  latch(what, now);
  events_.clear();
  if (panel_on_) panel_off_at_ = now;
  panel_on_ = link_on_ = light_on_ = message_ = false;
  enter(PowerState::kLatched, PowerReason::kFault, now);
}

bool Firmware::watch(const Round& round, Instant now) {
  if (!running_) return false;
  const double limit_before = thermal_limit_;
  const PowerState state_before = state_;

  thermal_limit_ = thermal_limit(round.board_degrees);
  const bool up = state_ != PowerState::kLatched && state_ != PowerState::kStandby;
  if (up && round.board_degrees >= kTooHot) {
    log(EventCode::kOverheat, static_cast<std::uint16_t>(std::clamp(round.board_degrees, 0.0, 999.0)), now);
    shut_down(Latch::kOverTemperature, now);
  }
  folded_rounds_ = round.panel_folded && panel_on_ ? folded_rounds_ + 1 : 0;
  if (folded_rounds_ >= kFoldedRounds) shut_down(Latch::kPanelRail, now);

  // A rail that is there though its switch is off.
  const bool long_off = !panel_on_ && (!panel_off_at_ || now - *panel_off_at_ > kDischarge * 10);
  const bool stray = long_off && round.levels.panel_selected_mv > 0 &&
                     round.levels.panel_mv > round.levels.panel_selected_mv / 2;
  stray_rounds_ = stray ? stray_rounds_ + 1 : 0;
  if (stray_rounds_ >= kStrayRounds) latch(Latch::kPanelRail, now);

  // A light that draws next to nothing, where the board can measure it and the rail is there.
  const double mv = round.levels.light_mv;
  const double expected_ma =
      mv > 0 ? static_cast<double>(kit_.panel.backlight.power.count) * effective() / mv * 1'000 : 0;
  const bool dark = light_on_ && kit_.board.fitted(Point::kRailsLightOutMa) &&
                    expected_ma > kLightExpectedMa && round.levels.light_ma < kLightMissing * expected_ma;
  dark_rounds_ = dark ? dark_rounds_ + 1 : 0;
  if (dark_rounds_ >= kDarkRounds) latch(Latch::kLightDriver, now);

  if (round.brown_out && !was_brown_out_) {
    log(EventCode::kBrownOut, 0, now);
    latch(Latch::kSupply, now);
  }
  was_brown_out_ = round.brown_out;
  if (!round.key_held) key_since_.reset();
  if (round.key_held && !key_since_) key_since_ = now;
  if (key_since_ && now - *key_since_ >= kKeyStuck) latch(Latch::kKeypad, now);

  return thermal_limit_ != limit_before || state_ != state_before;
}

void Firmware::log(EventCode code, std::uint16_t value, Instant now) {
  const auto uptime = std::chrono::duration_cast<std::chrono::seconds>(now - started_at_).count();
  if (memory_.log.size() >= kLogEntriesMax) memory_.log.erase(memory_.log.begin());
  memory_.log.push_back(
      {memory_.boot, static_cast<std::uint32_t>(std::max<std::int64_t>(0, uptime)), code, value});
  ++memory_.log_written;
}

void Firmware::count_life(Duration passed) {
  if (!running_) return;
  constexpr Duration kMillisecond = protocol::base::milliseconds(1);
  board_time_ += passed;
  if (light_on_) light_time_ += passed;
  memory_.board_ms += static_cast<std::uint64_t>(board_time_ / kMillisecond);
  memory_.light_ms += static_cast<std::uint64_t>(light_time_ / kMillisecond);
  board_time_ %= kMillisecond;
  light_time_ %= kMillisecond;
}

}  // namespace sim::unit
