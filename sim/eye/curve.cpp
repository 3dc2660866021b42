#include "sim/eye/curve.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

namespace sim::eye {
namespace {

constexpr int kSeenRun = 16;  // levels

// Pearson's.
double correlation_of(const std::vector<Fates::Grey>& greys, const std::vector<int>& became) {
  const auto n = static_cast<double>(became.size());
  double mean_x = 0, mean_y = 0;
  for (std::size_t i = 0; i < became.size(); ++i) {
    mean_x += greys[i].level / n;
    mean_y += became[i] / n;
  }
  double xy = 0, xx = 0, yy = 0;
  for (std::size_t i = 0; i < became.size(); ++i) {
    const double dx = greys[i].level - mean_x, dy = became[i] - mean_y;
    xy += dx * dy;
    xx += dx * dx;
    yy += dy * dy;
  }
  return xx > 0 && yy > 0 ? xy / std::sqrt(xx * yy) : 0;
}

Curve curve_of(const std::vector<Fates::Grey>& greys, std::size_t colour) {
  Curve curve;
  curve.became.reserve(greys.size());
  for (const Fates::Grey& grey : greys) curve.became.push_back(grey.became.at(colour));
  const auto [lowest, highest] = std::minmax_element(curve.became.begin(), curve.became.end());
  curve.lowest = *lowest;
  curve.highest = *highest;
  curve.correlation = correlation_of(greys, curve.became);
  int run = 0;
  for (std::size_t i = 1; i < curve.became.size(); ++i) {
    const int step = curve.became[i] - curve.became[i - 1];
    const int against = curve.correlation >= 0 ? -step : step;
    run = against > 0 ? run + against : 0;
    // A run counts whole once it is long enough to be seen.
    if (run >= kSeenRun) curve.back += run - against < kSeenRun ? run : against;
  }
  curve.levels = static_cast<int>(std::set<int>{curve.became.begin(), curve.became.end()}.size());
  return curve;
}

}  // namespace

std::vector<Curve> curves_of(const std::vector<Fates::Grey>& greys) {
  return {curve_of(greys, 0), curve_of(greys, 1), curve_of(greys, 2)};
}

}  // namespace sim::eye
