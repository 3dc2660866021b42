#include "host/link/plan/cost.hpp"

#include <algorithm>
#include <cmath>

namespace host::link::plan {

namespace {

constexpr std::size_t kRequestSize = 8;
constexpr std::size_t kAnswerOverhead = 5;
constexpr std::uint64_t kMillion = 1'000'000;
// Beyond this no length of block helps, and the line carries no verdict anyway.
constexpr std::uint32_t kDamagedMax = 50'000;

}  // namespace

std::uint32_t damaged_per_million(std::uint64_t frames_bad, std::uint64_t octets) {
  if (octets == 0) {
    return 0;
  }
  return static_cast<std::uint32_t>(std::min<std::uint64_t>(frames_bad * kMillion / octets, kDamagedMax));
}

ReadCosts read_costs(const LineCost& line, Cell cell) {
  const double sound = 1.0 - static_cast<double>(std::min(line.damaged_per_million, kDamagedMax)) /
                                 static_cast<double>(kMillion);
  ReadCosts costs{};
  for (std::size_t count = 1; count < costs.size(); ++count) {
    const std::size_t octets =
        kRequestSize + kAnswerOverhead + (cell == Cell::kBit ? (count + 7) / 8 : 2 * count);
    const auto once = line.timing.wire_time(octets) + 2 * line.timing.frame_gap() + line.turnaround;
    costs[count] = static_cast<double>(once.count()) / std::pow(sound, static_cast<double>(octets));
  }
  return costs;
}

}  // namespace host::link::plan
