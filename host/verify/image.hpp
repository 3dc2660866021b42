#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

/// Sizes of the blocks in which `size` registers are read: at most 125 each and no two neighbours alike, so
/// that no answer can be taken for its neighbour's. The first block is at most 125 less `skew`, so that
/// reading twice is not reading alike.
///
/// Range  skew 0..60.
[[nodiscard]] std::vector<std::uint16_t> block_sizes(std::uint16_t size, std::uint16_t skew);

/// Reads the packed image from its beginning as far as it goes. An older profile's image ends earlier: its
/// end is then searched for, on the boundaries of points.
///
/// Errors   as Reader; `refused` never for an address beyond the end.
[[nodiscard]] link::Result<std::vector<std::uint16_t>> read_image(Reader& reader, std::uint16_t skew);

/// Decodes what a prefix of the image holds whole.
[[nodiscard]] std::map<protocol::points::Point, protocol::points::Reading> decode_image(
    const std::vector<std::uint16_t>& image);

}  // namespace host::verify
