#include "host/verify/decision.hpp"

namespace host::verify {

Standing decide(std::int64_t reading, std::int64_t uncertainty, const model::Bounds<std::int64_t>& bounds) {
  const std::int64_t lowest = reading - uncertainty;
  const std::int64_t highest = reading + uncertainty;
  if (bounds.min && highest < *bounds.min) return Standing::kBelow;
  if (bounds.max && lowest > *bounds.max) return Standing::kAbove;
  if (bounds.min && lowest < *bounds.min) return Standing::kUncertain;
  if (bounds.max && highest > *bounds.max) return Standing::kUncertain;
  return Standing::kInside;
}

}  // namespace host::verify
