#include "host/signal/gtf.hpp"

namespace host::signal {
namespace {

constexpr std::int64_t kSyncLines = 3;
constexpr std::int64_t kSyncAndBackUs = 550;

// The formula rounds halves up.
constexpr std::int64_t nearest(std::int64_t num, std::int64_t den) {
  const std::int64_t doubled = 2 * num + den;
  const std::int64_t floor = doubled / (2 * den);
  return doubled % (2 * den) < 0 ? floor - 1 : floor;
}

}  // namespace

tl::expected<model::Timing, std::string> gtf(const GtfRequest& request) {
  const auto fits = [](model::Pixels count) { return count.count >= 64 && count.count <= 16384; };
  if (!fits(request.columns) || !fits(request.lines)) {
    return tl::unexpected(std::string("a generalised timing has 64 to 16384 columns and lines"));
  }
  const std::int64_t rate = request.rate.count;
  if (rate < 1000 || rate > 1'000'000) {
    return tl::unexpected(std::string("a generalised timing has a rate of 1 to 1000 Hz"));
  }
  const std::int64_t half = request.interlaced ? 1 : 0;  // an odd half line of each field
  const std::int64_t columns = nearest(request.columns.count, 8) * 8;
  const std::int64_t lines = request.interlaced ? nearest(request.lines.count, 2) : request.lines.count;

  // 550 us over the estimated line period (1/rate - 550 us) / (lines + 1 + half a line), half lines counted.
  const std::int64_t sync_and_back =
      nearest(kSyncAndBackUs * rate * (2 * (lines + 1) + half), 2 * (1'000'000'000 - kSyncAndBackUs * rate));
  const std::int64_t back = sync_and_back - kSyncLines;
  const std::int64_t half_lines = 2 * (lines + sync_and_back + 1) + half;

  // Blanking as a share of the line, in percent: 30 - 0.3 x period in us, the period being 1/(rate x lines).
  const std::int64_t scale = rate * half_lines;
  const std::int64_t duty = 30 * scale - 600'000'000;  // over scale
  if (duty <= 0 || back < 0) {
    return tl::unexpected(
        std::string("the line is too long for the formula; ask for a higher rate or more lines"));
  }
  const std::int64_t blank = nearest(columns * duty, (100 * scale - duty) * 16) * 16;
  const std::int64_t total = columns + blank;
  const std::int64_t h_sync = nearest(total, 100) * 8;
  if (blank / 2 < h_sync) {
    return tl::unexpected(std::string(
        "the formula leaves no room for the horizontal sync; ask for a higher rate or more lines"));
  }

  const std::int64_t fields = request.interlaced ? 2 : 1;
  model::Timing timing;
  timing.pixel_clock = {nearest(total * scale, 2000)};
  timing.h_active = {columns};
  timing.h_front = {blank / 2 - h_sync};
  timing.h_sync = {h_sync};
  timing.h_back = {blank / 2};
  timing.v_active = {lines * fields};
  timing.v_front = {fields + half};
  timing.v_sync = {kSyncLines * fields};
  timing.v_back = {back * fields};
  timing.h_polarity = model::Polarity::kNegative;
  timing.v_polarity = model::Polarity::kPositive;
  timing.interlaced = request.interlaced;
  return timing;
}

}  // namespace host::signal
