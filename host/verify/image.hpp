#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <vector>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

/// Registers of an image's mark, which is read by itself behind the image: no block of an image has as many.
inline constexpr std::uint16_t kMarkCount = 3;

/// The packed image as it was read once.
struct Image {
  std::vector<std::uint16_t> words;
  std::set<std::uint16_t> counts;  // registers of the blocks it was asked for in
};

/// Reads the packed image into `image` from its beginning as far as it goes, in the blocks that take least on
/// this line; once the line shows another bad frame the rest is planned anew, so that blocks grow shorter as
/// it gets worse. A block that the line spoils each time it is asked for is read in halves, a few times in an
/// image. No two reads in a row are alike. An older profile's image ends earlier: its end is then searched
/// for, on the boundaries of points.
///
/// Errors   as Reader; `refused` never for an address beyond the end. What came before one stays in `image`.
[[nodiscard]] link::Result<void> read_image(Reader& reader, Image& image);

/// Reads the image once more, as far as `image` goes and whether it ends there; in blocks of no length that
/// it was asked for in before, so that no answer from then fits. Returns whether all of it is the same, and
/// none of it can be such an answer.
///
/// Errors   as read_image().
[[nodiscard]] link::Result<bool> reads_the_same(Reader& reader, const Image& image);

/// Decodes what a prefix of the image holds whole.
[[nodiscard]] std::map<protocol::points::Point, protocol::points::Reading> decode_image(
    const std::vector<std::uint16_t>& image);

}  // namespace host::verify
