// What the firmware drives: the link as straps and source have it, the light as its limits leave it.

#include <cmath>
#include <iterator>

#include "sim/unit/arriving.hpp"
#include "sim/unit/firmware.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;

constexpr double kMillion = 1e6;

}  // namespace

void Firmware::straps_changed(const Selections& straps) {
  straps_ = straps;
  if (link_on_) refresh_link();
}

void Firmware::refresh_link() {
  link_.reset();
  if (!straps_.raster || (!source_ && !message())) return;
  const model::Timing frames = source_ ? *source_ : timing_of(kit_.panel);
  link_ = link_signal(kit_.board.link, *straps_.raster, straps_.mapping, frames);
  if (wrongs_.acts(Kind::kPanelClockOff)) {
    const auto off = wrongs_.argument<model::PartsPerMillion>(Kind::kPanelClockOff);
    link_->pixel_clock = link_->pixel_clock + model::share_of(link_->pixel_clock, off);
    const std::int64_t channel = link_->channels > 0 ? link_->pixel_clock.count / link_->channels : 0;
    link_->pll_locked =
        link_->pll_locked && channel > 0 && channel <= kit_.board.link.channel_clock_max.count;
  }
}

bool Firmware::panel_takes(const LinkSignal& signal) const {
  const model::Panel& panel = kit_.panel;
  return signal.pll_locked && signal.channels == panel.link.channels &&
         signal.raster.columns == panel.signal.raster_columns &&
         signal.raster.lines == panel.signal.raster_lines &&
         panel.signal.pixel_clock.contains(signal.pixel_clock);
}

double Firmware::duty() const {
  const model::DimmingSense sense = straps_.sense.value_or(model::DimmingSense::kHighIsBrighter);
  // A voltage has a curve of its own over brightness; the duty's doesn't come into it.
  if (kit_.panel.backlight.dimming.by == model::DimmingKind::kAnalogue &&
      !kit_.board.light.level_at.empty()) {
    return sense == model::DimmingSense::kHighIsBrighter ? effective() : 1 - effective();
  }
  return duty_of(kit_.board.light, effective(), sense);
}

Drive Firmware::drive() const {
  Drive drive;
  drive.converters =
      running_ && state_ != PowerState::kOff && (state_ != PowerState::kStandby || panel_on_ || link_on_);
  drive.panel_switch = panel_on_;
  drive.light = light_on_;
  drive.duty = duty();
  drive.hertz = static_cast<double>(settings_.pwm_frequency.count);
  if (link_on_ && link_) {
    const Video sent = message() ? Video::kMessage : Video::kPicture;
    drive.video = panel_takes(*link_) ? sent : Video::kUnusable;
  }
  return drive;
}

double duty_of(const model::Board::LightOutput& light, double brightness, model::DimmingSense sense) {
  double duty = brightness;
  if (!light.duty_at.empty()) {
    const auto above = light.duty_at.lower_bound({std::llround(brightness * kMillion)});
    if (above == light.duty_at.end()) {
      duty = static_cast<double>(light.duty_at.rbegin()->second.count) / kMillion;
    } else if (above == light.duty_at.begin()) {
      duty = static_cast<double>(above->second.count) / kMillion;
    } else {
      const auto below = std::prev(above);
      const double x0 = static_cast<double>(below->first.count) / kMillion;
      const double x1 = static_cast<double>(above->first.count) / kMillion;
      const double y0 = static_cast<double>(below->second.count) / kMillion;
      const double y1 = static_cast<double>(above->second.count) / kMillion;
      duty = y0 + (y1 - y0) * (brightness - x0) / (x1 - x0);
    }
  }
  return sense == model::DimmingSense::kHighIsBrighter ? duty : 1 - duty;
}

}  // namespace sim::unit
