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

// The chance that an octet comes as it was sent.
double sound_share(const LineCost& line) {
  return 1.0 -
         static_cast<double>(std::min(line.damaged_per_million, kDamagedMax)) / static_cast<double>(kMillion);
}

}  // namespace

std::uint32_t damaged_per_million(std::uint64_t frames_bad, std::uint64_t octets) {
  if (octets == 0) {
    return 0;
  }
  return static_cast<std::uint32_t>(std::min<std::uint64_t>(frames_bad * kMillion / octets, kDamagedMax));
}

ReadCosts read_costs(const LineCost& line, Cell cell) {
  const double sound = sound_share(line);
  ReadCosts costs{};
  for (std::size_t count = 1; count < costs.size(); ++count) {
    const std::size_t octets =
        kRequestSize + kAnswerOverhead + (cell == Cell::kBit ? (count + 7) / 8 : 2 * count);
    const auto once = line.timing.wire_time(octets) + 2 * line.timing.frame_gap() + line.turnaround;
    costs[count] = static_cast<double>(once.count()) / std::pow(sound, static_cast<double>(octets));
  }
  return costs;
}

std::uint16_t count_within(const LineCost& line, double percent) {
  const double sound = sound_share(line);
  std::uint16_t count = 1;
  while (count < protocol::pdu::kReadRegistersMax &&
         1.0 - std::pow(sound, static_cast<double>(kAnswerOverhead + 2 * (count + std::size_t{1}))) <=
             percent / 100) {
    ++count;
  }
  return count;
}

}  // namespace host::link::plan
