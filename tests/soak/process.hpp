#pragma once

#include <cstddef>

namespace tests::soak {

/// What this process holds: memory in KiB and open descriptors.
struct Holdings {
  std::size_t memory_kib = 0;
  std::size_t descriptors = 0;
};

[[nodiscard]] Holdings holdings();

/// What memory may grow by while nothing is kept: the allocator's own ways.
inline constexpr std::size_t kMemoryGrowthKib = 1'024;

}  // namespace tests::soak
