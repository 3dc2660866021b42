#include "sim/unit/supply.hpp"

#include <algorithm>
#include <cmath>

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;

double number(const std::optional<model::Millivolts>& mv) {
  return mv ? static_cast<double>(mv->count) : 0;
}

double seconds(Duration time) {
  return static_cast<double>(time.count()) * 1e-6;
}

// Dips stand at the end of each period.
bool in_dip(Instant now) {
  return now.time_since_epoch() % kDipPeriod >= kDipPeriod - kDipLength;
}

constexpr double kEmptyMv = 1;
constexpr int kOverloadSteps = 50;

}  // namespace

Supply::Supply(const model::Kit& kit, double own_mv)
    : own_mv_{own_mv},
      limit_ma_{own_mv > 0 ? kOverload * static_cast<double>(kit.supply.power.count) / own_mv * 1'000 : 0},
      input_min_mv_{number(kit.board.input_supply.voltage.min)},
      input_max_mv_{number(kit.board.input_supply.voltage.max)} {}

double Supply::wanted_mv(const Wrongs& wrongs, Instant now) const {
  if (off_until_ && now < *off_until_) return 0;
  double mv = set_mv_.value_or(own_mv_);
  if (wrongs.has(Kind::kSupplyLow)) {
    const auto low = static_cast<double>(wrongs.argument<model::Millivolts>(Kind::kSupplyLow).count);
    if (mv > 0 && low != mv && wrongs.acts(Kind::kSupplyLow)) mv = low;
  }
  if (mv > 0 && in_dip(now) && wrongs.acts(Kind::kSupplyBrownout))
    mv = std::min(mv, kDipDepth * input_min_mv_);
  if (mv > 0 && wrongs.acts(Kind::kSupplyDead)) mv = 0;
  if (mv > 0 && wrongs.acts(Kind::kSupplyReversed)) mv = -mv;
  return mv;
}

void Supply::advance(double load_mw, const Wrongs& wrongs, Instant now, Duration step) {
  const double before_mv = input_mv_, before_source_mv = source_mv_;
  const double wanted = wanted_mv(wrongs, now);
  if (wanted <= source_mv_) {
    source_mv_ = wanted;
  } else {
    const double rise = own_mv_ * seconds(step) / seconds(kSupplyRise);
    source_mv_ = std::min(wanted, std::max(source_mv_, 0.0) + rise);
  }
  moving_ = source_mv_ != before_source_mv || source_mv_ != wanted;

  const double volts = destroyed_ ? 0 : std::max(0.0, source_mv_) / 1'000;
  const double watts = load_mw / 1'000;
  const double root = volts * volts - 4 * kInputOhm * watts;
  const double standing = root > 0 ? (volts + std::sqrt(root)) / 2 : volts / 2;
  const double held = input_mv_ / 1'000;
  double input = standing;
  blocked_ = false;
  if (standing >= held) {
    const double share = kInputOhm * kInputFarad / seconds(step);
    input = (standing + share * held) / (1 + share);
  } else if (held > 0) {
    const double left = held * held - 2 * watts * seconds(step) / kInputFarad;
    const double drained = left > 0 ? std::sqrt(left) : 0;
    blocked_ = drained > standing;
    input = std::max(standing, drained);
    // Nothing draws: it leaks away within seconds.
    if (watts <= 0) input = std::max(standing, held * std::exp(-seconds(step) / 2));
  }
  input_mv_ = input * 1'000 < kEmptyMv ? 0 : input * 1'000;
  capacitor_ma_ = kInputFarad * (input_mv_ - before_mv) / seconds(step);
  if (std::abs(input_mv_ - before_mv) > 0.002) moving_ = true;

  if (input_max_mv_ > 0 && input_mv_ > kInputDestroyed * input_max_mv_) destroyed_ = true;
  const double ma = input_mv_ > 0 ? load_mw / input_mv_ * 1'000 : 0;
  overloaded_steps_ = limit_ma_ > 0 && ma > limit_ma_ ? overloaded_steps_ + 1 : 0;
  if (overloaded_steps_ > 0) moving_ = true;
  if (overloaded_steps_ >= kOverloadSteps) {
    off_until_ = now + kHiccup;
    overloaded_steps_ = 0;
  }
}

std::optional<Instant> Supply::next(const Wrongs& wrongs, Instant now) const {
  std::optional<Instant> next;
  if (off_until_ && *off_until_ > now) next = off_until_;
  if (wrongs.has(Kind::kSupplyBrownout)) {
    const Instant period = now - now.time_since_epoch() % kDipPeriod;
    const Instant edge = in_dip(now) ? period + kDipPeriod : period + kDipPeriod - kDipLength;
    if (!next || edge < *next) next = edge;
  }
  return next;
}

}  // namespace sim::unit
