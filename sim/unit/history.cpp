#include "sim/unit/history.hpp"

#include <cmath>

namespace sim::unit {
namespace {

constexpr double kTakesSeconds = 20, kLosesSeconds = 60;

}  // namespace

double History::residue(protocol::base::Instant now) const {
  const double seconds = static_cast<double>((now - residue_at_).count()) / 1e6;
  if (entries_.empty() || seconds <= 0) return residue_;
  const Moment& moment = entries_.back().moment;
  if (moment.panel_runs && !moment.data) return 1 - (1 - residue_) * std::exp(-seconds / kTakesSeconds);
  return residue_ * std::exp(-seconds / kLosesSeconds);
}

void History::change(const Moment& moment, protocol::base::Instant now) {
  residue_ = residue(now);
  residue_at_ = now;
  entries_.push_back({now, moment});
  if (entries_.size() > kEntriesMax) entries_.pop_front();
}

}  // namespace sim::unit
