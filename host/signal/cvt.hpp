#pragma once

#include <string>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"
#include "host/model/timing.hpp"

namespace host::signal {

enum class Blanking { kStandard, kReduced, kReducedV2 };

/// What a coordinated video timing is computed from.
struct CvtRequest {
  model::Pixels columns, lines;  // of a frame; columns are cut down to whole cells of 8 (1 for reduced v2)
  model::Millihertz rate;        // vertical rate: of frames, or of fields when interlaced
  Blanking blanking = Blanking::kStandard;
  bool interlaced = false;
  bool video_rate = false;  // rate x 1000/1001; reduced v2 only
};

/// Computes a timing after VESA Coordinated Video Timings 1.2, clauses 3.4, 3.6 and 5.2-5.5, in integers.
///
/// Range    64..16384 columns and lines, 1..1000 Hz.
/// Returns  the timing; interlaced ones carry the blanking of both fields together.
/// Errors   one sentence: a figure out of range, a rate too high to leave time for blanking, an interlaced or
///          video-rate request that the formula doesn't have.
///
/// Where the sources differ: the vertical back porch has at least seven lines (clauses 3.4.1(6), 3.4.2(7),
/// not the six of table 5-2); the sync width follows the exact ratio of columns to lines, 5:4 and 15:9 being
/// 7, so that near-16:9 sizes as 1366x768 get 10.
[[nodiscard]] tl::expected<model::Timing, std::string> cvt(const CvtRequest& request);

}  // namespace host::signal
