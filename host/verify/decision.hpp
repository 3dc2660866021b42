#pragma once

#include <cstdint>

#include "host/model/quantity.hpp"

namespace host::verify {

/// How a reading stands to a pair of limits, its uncertainty counted.
enum class Standing {
  kInside,     // reading ± uncertainty lies inside
  kUncertain,  // the true value may lie on either side of a limit
  kBelow,      // wholly below the minimum
  kAbove       // wholly above the maximum
};

/// Decides where a reading stands. Limits belong to the inside; a missing one does not limit.
///
/// Units    all three in the same unit; uncertainty >= 0 is the half width round the reading.
/// Source   ISO 14253-1: conformance and nonconformance are proven only outside the uncertainty zone.
[[nodiscard]] Standing decide(std::int64_t reading, std::int64_t uncertainty,
                              const model::Bounds<std::int64_t>& bounds);

}  // namespace host::verify
