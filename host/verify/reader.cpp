#include "host/verify/reader.hpp"

#include <algorithm>
#include <bit>

#include "protocol/pdu/function.hpp"
#include "protocol/session/statistics.hpp"

namespace host::verify {
namespace {

// A third of what breaks the quality gate: the line has spoilt longer blocks before it showed what it is, and
// one that has a verdict to give shouldn't be left without.
constexpr double kDamagedPercentMax = protocol::session::kGateBadPercentMax / 3.0;
// One bad frame says little of how bad a line is, and an exchange costs time: none is planned for fewer.
constexpr std::uint16_t kShortMin = 4;
// Of a unit that takes its time a block has a register for each 10 ms of a shortest exchange: all there is to
// read then takes a few seconds.
constexpr double kMicrosecondsPerRegister = 10'000;

}  // namespace

std::uint16_t block_count_max(const Reader& reader) {
  const auto line = reader.line_cost();
  const double slow = std::min(read_costs(line)[1] / kMicrosecondsPerRegister,
                               static_cast<double>(protocol::pdu::kReadRegistersMax));
  return std::max({kShortMin, static_cast<std::uint16_t>(slow), count_within(line, kDamagedPercentMax)});
}

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
