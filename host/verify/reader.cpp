#include "host/verify/reader.hpp"

#include <bit>

namespace host::verify {

link::plan::LineCost SessionReader::line_cost() const {
  const auto& line = session_.line();
  const auto counts = session_.statistics().counts;
  // In steps of powers of two of a millisecond: a plan shouldn't hang on the last microsecond.
  const auto measured = static_cast<std::uint64_t>((session_.turnaround().count() + 999) / 1000);
  const auto step = measured == 0 ? 0 : std::bit_ceil(measured);
  return {{line.baud, static_cast<std::uint8_t>(bits_per_character(line))},
          protocol::base::milliseconds(static_cast<std::int64_t>(step)),
          link::plan::damaged_per_million(counts.frames_bad, counts.octets_received)};
}

}  // namespace host::verify
