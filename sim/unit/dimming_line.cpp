#include "sim/unit/dimming_line.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;

constexpr double kMillion = 1e6;

// The board's level for a share of its range, straight between its points.
double level_mv(const model::Board::LightOutput& light, double share) {
  const auto above = light.level_at.lower_bound({std::llround(share * kMillion)});
  if (above == light.level_at.end()) return static_cast<double>(light.level_at.rbegin()->second.count);
  if (above == light.level_at.begin()) return static_cast<double>(above->second.count);
  const auto below = std::prev(above);
  const double x0 = static_cast<double>(below->first.count), x1 = static_cast<double>(above->first.count);
  const double y0 = static_cast<double>(below->second.count), y1 = static_cast<double>(above->second.count);
  return y0 + (y1 - y0) * (share * kMillion - x0) / (x1 - x0);
}

}  // namespace

DimmingLine dimming_line(const model::Kit& kit, const Wrongs& wrongs, bool running, double duty,
                         double hertz) {
  DimmingLine line;
  const bool analogue =
      kit.panel.backlight.dimming.by == model::DimmingKind::kAnalogue && !kit.board.light.level_at.empty();
  if (running) {
    line.duty = wrongs.acts(Kind::kDimmingPolarityInverted) ? 1 - duty : duty;
    line.hertz = hertz;
  }
  if (wrongs.has(Kind::kPwmStuck)) {
    const auto stuck = wrongs.argument<model::PartsPerMillion>(Kind::kPwmStuck);
    const double share = static_cast<double>(stuck.count) / kMillion;
    if (share != line.duty && wrongs.acts(Kind::kPwmStuck)) line.duty = share;
    line.hertz = hertz;
  }
  if (running && wrongs.has(Kind::kPwmFrequency)) {
    const auto wrong = static_cast<double>(wrongs.argument<model::Hertz>(Kind::kPwmFrequency).count);
    if (wrong != line.hertz && wrongs.acts(Kind::kPwmFrequency)) line.hertz = wrong;
  }
  line.mv = line.duty * kDimmingHighMv;
  if (analogue && running) line.mv = level_mv(kit.board.light, line.duty);
  return line;
}

}  // namespace sim::unit
