#pragma once

#include <span>
#include <string>

#include "host/signal/edid.hpp"

namespace host::signal {

/// Why a timing lies outside limits; empty when it doesn't. The clock limit is told to the nearest 10 MHz, so
/// that a clock up to 5 MHz above it still lies inside. Source: EDID 1.4, 3.10.3.3.
[[nodiscard]] std::string outside_range(const RangeLimits& limits, const model::Timing& timing);

/// The narrowest limits that contain all of these timings, the clock rounded up to 10 MHz. No timings give
/// zeros.
[[nodiscard]] RangeLimits limits_around(std::span<const model::Timing> timings);

}  // namespace host::signal
