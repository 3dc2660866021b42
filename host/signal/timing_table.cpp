#include "host/signal/timing_table.hpp"

#include <array>

namespace host::signal {
namespace {

using enum model::Polarity;

// clang-format off
constexpr auto kLegacy = std::to_array<StandardTiming>({
    {1, 28320, 720, 18, 108, 54, 400, 21, 2, 26, kNegative, kPositive, false},
    {2, 35500, 720, 18, 108, 54, 400, 12, 2, 35, kNegative, kPositive, false},
    {3, 30240, 640, 64, 64, 96, 480, 3, 3, 39, kNegative, kNegative, false},
    {4, 57284, 832, 32, 64, 224, 624, 1, 3, 39, kNegative, kNegative, false},
    {5, 100000, 1152, 48, 128, 128, 870, 3, 3, 39, kPositive, kPositive, false},
});
// clang-format on

}  // namespace

std::span<const StandardTiming> legacy_timings() {
  return kLegacy;
}

std::optional<model::Timing> at_other_rate(const StandardTiming& cta_row) {
  model::Timing timing = to_timing(cta_row);
  const std::int64_t rate = timing.refresh().count * (timing.interlaced ? 2 : 1);
  const std::int64_t whole = (rate + 500) / 1000;
  if (whole % 6 != 0) return std::nullopt;
  // Half of the way to the other rate tells which of the two is listed.
  const bool listed_whole = rate * 2001 >= whole * 2'000'000;
  const std::int64_t clock = timing.pixel_clock.count;
  timing.pixel_clock = {listed_whole ? (clock * 1000 + 500) / 1001 : (clock * 1001 + 500) / 1000};
  return timing;
}

model::Timing to_timing(const StandardTiming& row) {
  model::Timing timing;
  timing.pixel_clock = {std::int64_t{row.pixel_clock_khz} * 1000};
  timing.h_active = {row.h_active};
  timing.h_front = {row.h_front};
  timing.h_sync = {row.h_sync};
  timing.h_back = {row.h_back};
  timing.v_active = {row.v_active};
  timing.v_front = {row.v_front};
  timing.v_sync = {row.v_sync};
  timing.v_back = {row.v_back};
  timing.h_polarity = row.h_polarity;
  timing.v_polarity = row.v_polarity;
  timing.interlaced = row.interlaced;
  return timing;
}

}  // namespace host::signal
