#include "sim/unit/sequence.hpp"

namespace sim::unit {
namespace {

using protocol::base::Duration;
using protocol::base::Instant;

std::optional<Duration> since(const std::optional<Instant>& edge, Instant now) {
  return edge ? std::optional{now - *edge} : std::nullopt;
}

}  // namespace

void SequenceWatch::observe(const Levels& levels, const Drive& drive, Instant now) {
  const bool selected = levels.panel_selected_mv > 0;
  const bool above_10 = selected && levels.panel_mv >= 0.1 * levels.panel_selected_mv;
  const bool above_90 = selected && levels.panel_mv >= 0.9 * levels.panel_selected_mv;
  const bool link = drive.video != Video::kNone;

  if (above_10 && !was_10_) {
    rail_10_ = now;
    intervals_.rest = since(rail_off_, now);
  }
  if (!above_10 && was_10_) rail_off_ = now;
  if (above_90 && !was_90_) {
    rail_90_ = now;
    intervals_.supply_rise = since(rail_10_, now);
  }
  if (link && !was_link_) {
    link_on_ = now;
    intervals_.supply_to_signal = above_90 ? since(rail_90_, now) : std::nullopt;
  }
  if (!link && was_link_) intervals_.light_to_no_signal = since(light_off_, now);
  if (drive.light && !was_light_) intervals_.signal_to_light = link ? since(link_on_, now) : std::nullopt;
  if (!drive.light && was_light_) light_off_ = now;

  was_10_ = above_10;
  was_90_ = above_90;
  was_link_ = link;
  was_light_ = drive.light;
}

}  // namespace sim::unit
