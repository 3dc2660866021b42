#include "sim/unit/receiver.hpp"

#include <algorithm>

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::base::Instant;

model::Hertz scaled_clock(const model::RasterRow& raster, model::Millihertz refresh) {
  constexpr std::int64_t kBlankPixels = 160;
  constexpr std::int64_t kBlankMicroseconds = 460;
  constexpr std::int64_t kBlankLinesMin = 14;
  constexpr std::int64_t kClockStep = 250'000;
  if (refresh.count <= 0 || raster.lines.count <= 0) return {};
  const std::int64_t frame_us = 1'000'000'000 / refresh.count;
  const std::int64_t active_us = std::max<std::int64_t>(frame_us - kBlankMicroseconds, 1);
  const std::int64_t blank_lines =
      std::max(kBlankLinesMin, kBlankMicroseconds * raster.lines.count / active_us + 1);
  const std::int64_t dots = (raster.columns.count + kBlankPixels) * (raster.lines.count + blank_lines);
  return {dots * refresh.count / 1'000 / kClockStep * kClockStep};
}

}  // namespace

bool Receiver::in_range() const {
  return in_.timing && in_.timing->pixel_clock.count > 0 && in_.timing->h_active.count > 0 &&
         in_.timing->v_active.count > 0 && pixel_clock_max_ && in_.timing->pixel_clock <= *pixel_clock_max_;
}

bool Receiver::connect(const Arriving& in, std::optional<model::Hertz> pixel_clock_max, Instant now) {
  const bool same_signal = in.timing == in_.timing && pixel_clock_max == pixel_clock_max_;
  in_ = in;
  pixel_clock_max_ = pixel_clock_max;
  if (same_signal) return false;
  const bool lost = locked_;
  if (lost) ++losses_;
  locked_ = false;
  locking_until_.reset();
  if (in_range()) locking_until_ = now + kLockTime;
  return lost;
}

bool Receiver::run(Instant now) {
  if (!locking_until_ || *locking_until_ > now) return false;
  locking_until_.reset();
  locked_ = true;
  return true;
}

LinkSignal link_signal(const model::Board::LinkOutput& output, const model::RasterRow& raster,
                       std::optional<model::Mapping> mapping, const model::Timing& source) {
  LinkSignal signal;
  signal.channels = raster.channels;
  signal.bits = raster.bits;
  signal.mapping = mapping;
  signal.raster = raster;
  signal.frames = source;
  const bool as_it_comes = source.h_active == raster.columns && source.v_active == raster.lines;
  signal.pixel_clock = as_it_comes ? source.pixel_clock : scaled_clock(raster, source.refresh());
  signal.pll_locked = raster.channels > 0 && raster.channels <= output.channels_max &&
                      signal.pixel_clock.count > 0 &&
                      signal.pixel_clock.count / raster.channels <= output.channel_clock_max.count;
  return signal;
}

}  // namespace sim::unit
