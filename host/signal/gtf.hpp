#pragma once

#include <string>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"
#include "host/model/timing.hpp"

namespace host::signal {

/// What a generalised timing is computed from.
struct GtfRequest {
  model::Pixels columns, lines;  // of a frame; columns are rounded to whole cells of 8
  model::Millihertz rate;        // vertical rate: of frames, or of fields when interlaced
  bool interlaced = false;
};

/// Computes a timing after VESA Generalised Timing Formula 1.1 from its vertical rate, with the default curve
/// (C' 30, M' 300) and without margins, in integers.
///
/// Range    64..16384 columns and lines, 1..1000 Hz.
/// Returns  the timing, its clock rounded to the hertz; interlaced ones carry the blanking of both fields
/// together. Errors   one sentence: a figure out of range, or a line so long that the curve leaves no room
/// for its sync.
[[nodiscard]] tl::expected<model::Timing, std::string> gtf(const GtfRequest& request);

}  // namespace host::signal
