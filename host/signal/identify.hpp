#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "host/model/quantity.hpp"
#include "host/model/timing.hpp"

namespace host::signal {

/// What was measured of a signal; what is absent doesn't count.
struct Measured {
  std::optional<model::Hertz> pixel_clock, line_rate;
  std::optional<model::Millihertz> vertical_rate;  // of vertical sync: of fields when interlaced
  std::optional<model::Pixels> h_active, h_total;
  std::optional<model::Pixels> v_active, v_total;  // of a frame, both fields
  std::optional<model::Polarity> h_polarity, v_polarity;
  std::optional<bool> interlaced;
};

/// How far a measured value may be off.
struct MeasuringError {
  model::PartsPerMillion frequency{5000};
  model::Pixels count{2};  // of totals and active pixels
};

/// Where a timing comes from, most likely first.
enum class TimingOrigin { kDmt, kCta, kLegacy, kCvt, kCvtReduced, kCvtReducedV2, kGtf };

struct Candidate {
  model::Timing timing;
  TimingOrigin origin = TimingOrigin::kDmt;  // of the first name
  std::vector<std::string> names;  // all that give this raster; find_timing knows them but "legacy …"
  /// Sum over what was measured: 1000 for a value at the edge of its tolerance, 0 for an exact one, and 3000
  /// for a polarity that differs.
  std::int64_t distance = 0;
};

/// Finds the timings that a measurement may stand for: VESA DMT, CTA-861 at both its rates, older ones, and
/// what CVT, CVT-RB, RBv2 and GTF make of the measured size (of the usual sizes when the active pixels
/// weren't measured) at the whole rates nearby and, for RBv2, at the video rates.
///
/// Returns  the candidates inside the tolerances, by distance, then by origin, then by name. A raster that
/// several
///          names share is one candidate. Polarities shift the distance but exclude nothing, as sources often
///          have them wrong. Nothing measured gives nothing.
[[nodiscard]] std::vector<Candidate> identify(const Measured& measured, const MeasuringError& error = {});

}  // namespace host::signal
