#include "host/signal/cvt.hpp"

#include <algorithm>

namespace host::signal {
namespace {

constexpr std::int64_t kBackPorchMin = 7;

// Table 3-2: the width of the vertical sync tells the aspect ratio.
std::int64_t v_sync_width(std::int64_t columns, std::int64_t lines) {
  const auto is = [&](std::int64_t across, std::int64_t down) { return columns * down == lines * across; };
  if (is(4, 3)) return 4;
  if (is(16, 9)) return 5;
  if (is(16, 10)) return 6;
  if (is(5, 4) || is(15, 9)) return 7;
  return 10;
}

// Everything a formula yields; vertical figures in half lines of one field, so that a field's odd half
// counts.
struct Figures {
  std::int64_t h_front, h_sync, h_back, v_front, v_sync, v_back, clock_hz;
};

Figures standard(std::int64_t columns, std::int64_t lines, std::int64_t sync, std::int64_t rate, bool half) {
  // Line period in microseconds: num / den, from (1/f - 550 us) / (lines + 3 + i).
  const std::int64_t num = 2 * (1'000'000'000 - 550 * rate);
  const std::int64_t den = rate * (2 * (lines + 3) + (half ? 1 : 0));
  const std::int64_t sync_and_back = std::max(550 * den / num + 1, sync + kBackPorchMin);
  // Ideal duty in percent: 30 - 0.3 x period, here with a denominator of 10 den; never below 20.
  const std::int64_t duty = std::max(300 * den - 3 * num, 200 * den);
  const std::int64_t blank = columns * duty / ((1000 * den - duty) * 16) * 16;
  const std::int64_t total = columns + blank;
  const std::int64_t h_sync = total / 100 * 8;
  return {
      blank / 2 - h_sync, h_sync, blank / 2, 3, sync, sync_and_back - sync, 4 * total * den / num * 250'000};
}

Figures reduced(std::int64_t columns, std::int64_t lines, std::int64_t sync, std::int64_t rate, bool half) {
  const std::int64_t blank =
      std::max(460 * rate * lines / (1'000'000'000 - 460 * rate) + 1, 3 + sync + kBackPorchMin);
  const std::int64_t half_lines = 2 * (lines + blank) + (half ? 1 : 0);
  // Steps of 0.25 MHz: rate [mHz] x lines x pixels / (1000 x 250,000), half lines doubling the divisor.
  const std::int64_t steps = rate * half_lines * (columns + 160) / 500'000'000;
  return {48, 32, 80, 3, sync, blank - 3 - sync, steps * 250'000};
}

Figures reduced_v2(std::int64_t columns, std::int64_t lines, std::int64_t rate, bool video) {
  const std::int64_t blank =
      std::max<std::int64_t>(460 * rate * lines / (1'000'000'000 - 460 * rate) + 1, 15);
  const std::int64_t dots = rate * (lines + blank) * (columns + 80);  // mHz
  const std::int64_t kilohertz = video ? dots / 1'001'000 : dots / 1'000'000;
  return {8, 32, 40, blank - 14, 8, 6, kilohertz * 1000};
}

}  // namespace

tl::expected<model::Timing, std::string> cvt(const CvtRequest& request) {
  const auto fits = [](model::Pixels count) { return count.count >= 64 && count.count <= 16384; };
  if (!fits(request.columns) || !fits(request.lines)) {
    return tl::unexpected(std::string("a coordinated timing has 64 to 16384 columns and lines"));
  }
  const std::int64_t rate = request.rate.count;
  if (rate < 1000 || rate > 1'000'000) {
    return tl::unexpected(std::string("a coordinated timing has a rate of 1 to 1000 Hz"));
  }
  const bool v2 = request.blanking == Blanking::kReducedV2;
  if (v2 && request.interlaced)
    return tl::unexpected(std::string("reduced blanking v2 has no interlaced timings"));
  if (request.video_rate && !v2) {
    return tl::unexpected(std::string("only reduced blanking v2 has video rates (a rate divided by 1.001)"));
  }
  const std::int64_t columns = v2 ? request.columns.count : request.columns.count / 8 * 8;
  const std::int64_t lines = request.interlaced ? request.lines.count / 2 : request.lines.count;
  const std::int64_t sync = v_sync_width(columns, request.lines.count);
  Figures figures{};
  switch (request.blanking) {
    case Blanking::kStandard: figures = standard(columns, lines, sync, rate, request.interlaced); break;
    case Blanking::kReduced: figures = reduced(columns, lines, sync, rate, request.interlaced); break;
    case Blanking::kReducedV2: figures = reduced_v2(columns, lines, rate, request.video_rate); break;
  }
  // Two fields, each with a half line more, make one frame with a whole line more; it stands in the front.
  const std::int64_t fields = request.interlaced ? 2 : 1;
  model::Timing timing;
  timing.pixel_clock = {figures.clock_hz};
  timing.h_active = {columns};
  timing.h_front = {figures.h_front};
  timing.h_sync = {figures.h_sync};
  timing.h_back = {figures.h_back};
  timing.v_active = {lines * fields};
  timing.v_front = {figures.v_front * fields + (request.interlaced ? 1 : 0)};
  timing.v_sync = {figures.v_sync * fields};
  timing.v_back = {figures.v_back * fields};
  timing.h_polarity =
      request.blanking == Blanking::kStandard ? model::Polarity::kNegative : model::Polarity::kPositive;
  timing.v_polarity =
      request.blanking == Blanking::kStandard ? model::Polarity::kPositive : model::Polarity::kNegative;
  timing.interlaced = request.interlaced;
  return timing;
}

}  // namespace host::signal
