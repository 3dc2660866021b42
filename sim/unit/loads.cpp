#include "sim/unit/loads.hpp"

#include <algorithm>

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;

template <typename Quantity>
double number(Quantity quantity) {
  return static_cast<double>(quantity.count);
}

constexpr double kStopBelow = 0.9;  // of the lower end of the window
constexpr double kLightStopBelow = 0.95;
constexpr double kUnstartedShare = 0.1;    // of the idle current
constexpr double kUnstartedFullAt = 0.25;  // of the lower end of the window: below it in proportion
constexpr double kNoRailMv = 50;

}  // namespace

void PanelLogic::supply(double mv, protocol::base::Instant now) {
  mv_ = mv;
  const double absolute_max = number(figures_.absolute_max);
  if (absolute_max > 0 && mv > absolute_max) damaged_ = true;
  const double start = number(figures_.voltage.min.value_or(model::Millivolts{}));
  if (restart_at_ && now >= *restart_at_) restart_at_.reset();
  if (damaged_ || mv < kStopBelow * start || mv < kNoRailMv) {
    if (running_) restart_at_ = now + kRestart;
    running_ = false;
  } else if (mv >= start && !restart_at_) {
    running_ = true;
  }
}

double PanelLogic::current_ma(Video video, const Wrongs& wrongs) const {
  if (damaged_ || mv_ < kNoRailMv) return 0;
  if (wrongs.acts(Kind::kPanelLogicDead)) return 0;
  if (!running_) {
    const double full = kUnstartedFullAt * number(figures_.voltage.min.value_or(model::Millivolts{}));
    return kUnstartedShare * number(figures_.idle) * (full > 0 ? std::min(1.0, mv_ / full) : 1);
  }
  if (video == Video::kNone || wrongs.acts(Kind::kPanelBiasDead)) return number(figures_.idle);
  if (video == Video::kUnusable || video == Video::kMessage) return number(figures_.black);
  return (number(figures_.black) + number(figures_.white)) / 2;
}

void LightDriver::pins(const Pins& pins, const Wrongs& wrongs) {
  pins_ = pins;
  const double absolute_max = number(figures_.absolute_max);
  if (absolute_max > 0 && pins.supply_mv > absolute_max) damaged_ = true;
  if (!pins.enable_mv) {
    enabled_ = figures_.enable.open == model::OpenEnable::kOn;
  } else if (*pins.enable_mv >= number(figures_.enable.on_above)) {
    enabled_ = true;
  } else if (*pins.enable_mv <= number(figures_.enable.off_below)) {
    enabled_ = false;
  }
  const double supply_min = number(figures_.supply.min.value_or(model::Millivolts{}));
  const double needed = (lit_ ? kLightStopBelow : 1) * supply_min;
  lit_ = enabled_ && !damaged_ && pins.supply_mv >= needed && pins.supply_mv > kNoRailMv;
  if (lit_ && wrongs.acts(Kind::kBacklightDriverDead)) lit_ = false;
}

double LightDriver::brightness() const {
  const model::Panel::Dimming& dimming = figures_.dimming;
  double share = pins_.duty;
  if (dimming.by == model::DimmingKind::kAnalogue && dimming.range.min && dimming.range.max &&
      *dimming.range.max > *dimming.range.min) {
    share = (pins_.dimming_mv - number(*dimming.range.min)) /
            (number(*dimming.range.max) - number(*dimming.range.min));
    share = std::clamp(share, 0.0, 1.0);
  }
  return dimming.sense == model::DimmingSense::kHighIsBrighter ? share : 1 - share;
}

double LightDriver::power_mw(const Wrongs& wrongs) const {
  if (!lit_) return 0;
  double mw = number(figures_.power) * brightness();
  if (mw > 0 && wrongs.acts(Kind::kBacklightStringOpen)) mw *= kStringShare;
  if (mw > 0 && wrongs.acts(Kind::kLampWorn)) mw *= kWornLampPower;
  return mw;
}

}  // namespace sim::unit
