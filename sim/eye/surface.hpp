#pragma once

#include <cstdint>

#include "host/signal/card/raster.hpp"
#include "sim/eye/scene.hpp"

namespace sim::eye {

/// What stands on the glass, panel's size, behind a good even light.
[[nodiscard]] host::signal::card::Raster surface(const Scene& scene);

/// The seed of a driven line's bit errors: the same in words and picture.
[[nodiscard]] constexpr std::uint64_t surface_seed(int line) {
  return 0x5EED'0000U + static_cast<std::uint64_t>(line);
}

}  // namespace sim::eye
