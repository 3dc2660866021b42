#pragma once

#include <cstddef>

namespace tests::soak {

/// What this process holds: memory in KiB and open descriptors.
struct Holdings {
  std::size_t memory_kib = 0;
  std::size_t descriptors = 0;
};

[[nodiscard]] Holdings holdings();

}  // namespace tests::soak
