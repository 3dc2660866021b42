#include "sim/unit/switched_rail.hpp"

#include <algorithm>
#include <cmath>

namespace sim::unit {
namespace {

using protocol::base::Duration;

constexpr double kEmptyMv = 0.5;

double share(Duration step, Duration whole) {
  return static_cast<double>(step.count()) / static_cast<double>(whole.count());
}

}  // namespace

void SwitchedRail::advance(const Conditions& given, Duration step) {
  const double before_mv = out_mv_;
  const bool fed = given.on && given.source_mv > 0;
  load_ma_ = given.load_ma;
  target_mv_ = std::max(0.0, given.source_mv - given.load_ma * kSwitchOhm);
  starved_ = fed && given.limit_ma && given.load_ma > *given.limit_ma;
  if (starved_) target_mv_ = given.source_mv * *given.limit_ma / given.load_ma;
  folded_ = false;
  if (given.short_ohm && fed) {
    const double through = given.source_mv / (*given.short_ohm + kSwitchOhm);
    folded_ = given.trip_ma > 0 && through > given.trip_ma;
    const double ma = folded_ ? kFoldBack * given.trip_ma : through;
    target_mv_ = std::min(target_mv_, ma * *given.short_ohm);
  }

  const double seconds = static_cast<double>(step.count()) * 1e-6;
  const double bled_mv = before_mv * std::exp(-share(step, kDischarge));
  const double drawn_mv = before_mv - given.load_ma * seconds / farad_;
  if (fed && before_mv <= target_mv_) {
    out_mv_ = std::min(target_mv_, before_mv + given.source_mv * share(step, kSoftStart));
  } else {
    double falling = std::max(0.0, std::min(bled_mv, drawn_mv));
    if (given.short_ohm) falling = 0;  // faster than any step
    out_mv_ = fed ? std::max(target_mv_, falling) : falling;
    if (!fed && out_mv_ < kEmptyMv) out_mv_ = 0;
  }

  if (starved_) load_ma_ = std::min(load_ma_, *given.limit_ma);
  short_ma_ = given.short_ohm ? out_mv_ / *given.short_ohm : 0;
  capacitor_ma_ = farad_ * (out_mv_ - before_mv) / seconds;
  // What the capacitor gives and nobody takes, it loses in the bleeder.
  bleed_ma_ = std::max(0.0, -(load_ma_ + short_ma_ + capacitor_ma_));
  // What is drawn and nobody gives isn't drawn.
  if (!fed) load_ma_ = std::clamp(-capacitor_ma_ - short_ma_, 0.0, load_ma_);
  if (!fed) bleed_ma_ = std::max(0.0, -capacitor_ma_ - short_ma_ - load_ma_);
}

}  // namespace sim::unit
