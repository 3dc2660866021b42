#include "sim/unit/loads.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;

template <typename Quantity>
double number(Quantity quantity) {
  return static_cast<double>(quantity.count);
}

constexpr double kStopBelow = 0.9;       // of the lower end of the window
constexpr double kUnstartedShare = 0.1;  // of the idle current
constexpr double kNoRailMv = 50;

}  // namespace

void PanelLogic::supply(double mv) {
  mv_ = mv;
  const double absolute_max = number(figures_.absolute_max);
  if (absolute_max > 0 && mv > absolute_max) damaged_ = true;
  const double start = number(figures_.voltage.min.value_or(model::Millivolts{}));
  if (damaged_ || mv < kStopBelow * start || mv < kNoRailMv) {
    running_ = false;
  } else if (mv >= start) {
    running_ = true;
  }
}

double PanelLogic::current_ma(Video video) const {
  if (damaged_ || mv_ < kNoRailMv) return 0;
  if (!running_) return kUnstartedShare * number(figures_.idle);
  switch (video) {
    case Video::kNone: return number(figures_.idle);
    case Video::kUnusable: return number(figures_.black);
    case Video::kPicture: return (number(figures_.black) + number(figures_.white)) / 2;
  }
  return 0;
}

void LightDriver::pins(double supply_mv, std::optional<double> enable_mv, double duty) {
  duty_ = duty;
  const double absolute_max = number(figures_.absolute_max);
  if (absolute_max > 0 && supply_mv > absolute_max) damaged_ = true;
  if (!enable_mv) {
    enabled_ = figures_.enable.open == model::OpenEnable::kOn;
  } else if (*enable_mv >= number(figures_.enable.on_above)) {
    enabled_ = true;
  } else if (*enable_mv <= number(figures_.enable.off_below)) {
    enabled_ = false;
  }
  const double supply_min = number(figures_.supply.min.value_or(model::Millivolts{}));
  lit_ = enabled_ && !damaged_ && supply_mv >= supply_min && supply_mv > kNoRailMv;
}

double LightDriver::brightness() const {
  return figures_.dimming.sense == model::DimmingSense::kHighIsBrighter ? duty_ : 1 - duty_;
}

double LightDriver::power_mw() const {
  return lit_ ? number(figures_.power) * brightness() : 0;
}

}  // namespace sim::unit
