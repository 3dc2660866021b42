#pragma once

#include <cstdint>
#include <vector>

#include "host/signal/card/raster.hpp"

namespace host::signal::card {

/// The picture as a PNG file, eight bits a colour, no other chunk than the picture's own; the same picture
/// gives the same octets. Empty when the memory for it can't be had. Source  Portable Network Graphics,
/// ISO/IEC 15948, through libpng.
[[nodiscard]] std::vector<std::uint8_t> to_png(const Raster& raster);

}  // namespace host::signal::card
