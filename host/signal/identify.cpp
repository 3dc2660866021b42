#include "host/signal/identify.hpp"

#include <algorithm>
#include <cstdlib>
#include <set>
#include <string_view>
#include <tuple>
#include <utility>

#include "host/signal/cvt.hpp"
#include "host/signal/gtf.hpp"
#include "host/signal/timing_table.hpp"

namespace host::signal {
namespace {

constexpr std::int64_t kEdge = 1000;
constexpr std::int64_t kWrongPolarity = 3000;

// Sums up how far a timing is from what was measured.
class Distance {
 public:
  explicit Distance(const MeasuringError& error) : error_(error) {}

  template <typename Quantity>
  void frequency(const std::optional<Quantity>& measured, std::int64_t of_timing) {
    if (!measured) return;
    ++compared_;
    if (measured->count <= 0 || of_timing <= 0 || measured->count > 2 * of_timing) {
      inside_ = false;
      return;
    }
    add(std::abs(measured->count - of_timing) * 1'000'000 / of_timing, error_.frequency.count);
  }
  void count(const std::optional<model::Pixels>& measured, model::Pixels of_timing) {
    if (!measured) return;
    ++compared_;
    // Unsigned, as a measured count may be anything.
    const auto off =
        measured->count > of_timing.count
            ? static_cast<std::uint64_t>(measured->count) - static_cast<std::uint64_t>(of_timing.count)
            : static_cast<std::uint64_t>(of_timing.count) - static_cast<std::uint64_t>(measured->count);
    if (off > static_cast<std::uint64_t>(std::max<std::int64_t>(error_.count.count, 0))) {
      inside_ = false;
      return;
    }
    add(static_cast<std::int64_t>(off), error_.count.count);
  }
  void polarity(const std::optional<model::Polarity>& measured, model::Polarity of_timing) {
    if (measured && *measured != of_timing) sum_ += kWrongPolarity;
  }
  void interlace(const std::optional<bool>& measured, bool of_timing) {
    if (measured && *measured != of_timing) inside_ = false;
  }
  [[nodiscard]] std::optional<std::int64_t> sum() const {
    if (!inside_ || compared_ == 0) return std::nullopt;
    return sum_;
  }

 private:
  void add(std::int64_t off, std::int64_t tolerance) {
    if (off > tolerance) inside_ = false;
    if (off != 0 && tolerance > 0) sum_ += off * kEdge / tolerance;
  }
  const MeasuringError& error_;
  std::int64_t sum_ = 0;
  int compared_ = 0;
  bool inside_ = true;
};

std::int64_t vertical_rate(const model::Timing& timing) {
  const std::int64_t dots = timing.h_total().count * timing.v_total().count;
  const std::int64_t fields = timing.interlaced ? 2000 : 1000;
  return dots == 0 ? 0 : (timing.pixel_clock.count * fields + dots / 2) / dots;
}

std::optional<std::int64_t> distance(const Measured& measured, const model::Timing& timing,
                                     const MeasuringError& error) {
  Distance result(error);
  result.interlace(measured.interlaced, timing.interlaced);
  result.frequency(measured.pixel_clock, timing.pixel_clock.count);
  const std::int64_t h_total = std::max<std::int64_t>(timing.h_total().count, 1);
  result.frequency(measured.line_rate, (timing.pixel_clock.count + h_total / 2) / h_total);
  result.frequency(measured.vertical_rate, vertical_rate(timing));
  result.count(measured.h_active, timing.h_active);
  result.count(measured.h_total, timing.h_total());
  result.count(measured.v_active, timing.v_active);
  result.count(measured.v_total, timing.v_total());
  result.polarity(measured.h_polarity, timing.h_polarity);
  result.polarity(measured.v_polarity, timing.v_polarity);
  return result.sum();
}

// Takes timings in the order of their origin and keeps those that fit.
class Collector {
 public:
  Collector(const Measured& measured, const MeasuringError& error) : measured_(measured), error_(error) {}

  void offer(TimingOrigin origin, std::string name, const model::Timing& timing) {
    const auto off = distance(measured_, timing, error_);
    if (!off) return;
    const auto same = std::ranges::find(found_, timing, &Candidate::timing);
    if (same == found_.end()) {
      found_.push_back({timing, origin, {std::move(name)}, *off});
    } else if (std::ranges::find(same->names, name) == same->names.end()) {
      same->names.push_back(std::move(name));
    }
  }
  std::vector<Candidate> take() {
    std::ranges::sort(found_, {}, [](const Candidate& candidate) {
      return std::tuple(candidate.distance, candidate.origin, std::string_view(candidate.names.front()));
    });
    return std::move(found_);
  }

 private:
  const Measured& measured_;
  const MeasuringError& error_;
  std::vector<Candidate> found_;
};

std::string dmt_name(int id) {
  constexpr std::string_view digits = "0123456789abcdef";
  return std::string("dmt ") + digits[static_cast<std::size_t>(id) / 16] +
         digits[static_cast<std::size_t>(id) % 16] + "h";
}

void offer_tables(Collector& collector) {
  for (const StandardTiming& row : dmt_timings()) {
    collector.offer(TimingOrigin::kDmt, dmt_name(row.number), to_timing(row));
  }
  for (const StandardTiming& row : cta_timings()) {
    const std::string name = "cta " + std::to_string(row.number);
    const model::Timing timing = to_timing(row);
    collector.offer(TimingOrigin::kCta, name, timing);
    if (const auto other = at_other_rate(row)) {
      const bool slower = other->pixel_clock < timing.pixel_clock;
      collector.offer(TimingOrigin::kCta, name + (slower ? "/1.001" : "*1.001"), *other);
    }
  }
  for (const StandardTiming& row : legacy_timings()) {
    collector.offer(TimingOrigin::kLegacy, "legacy " + std::to_string(row.number), to_timing(row));
  }
}

using Size = std::pair<std::int64_t, std::int64_t>;

// What the formulas are asked for: the measured size, or those that sources and panels usually have.
std::set<Size> sizes(const Measured& measured) {
  if (measured.h_active && measured.v_active) return {{measured.h_active->count, measured.v_active->count}};
  std::set<Size> result = {{480, 1920}, {800, 480},  {1024, 600},  {1280, 480},  {1280, 1024}, {1366, 768},
                           {1920, 360}, {1920, 540}, {1920, 1080}, {2560, 1440}, {2560, 1600}, {3840, 2160}};
  for (const StandardTiming& row : dmt_timings()) result.emplace(row.h_active, row.v_active);
  return result;
}

// The measured vertical rate, or what follows from the others, in millihertz.
std::optional<std::int64_t> rate_of(const Measured& measured, bool interlaced) {
  constexpr std::int64_t kSane = 1'000'000'000'000;  // above any clock and any total
  const auto sane = [](std::int64_t value) { return value > 0 && value < kSane; };
  if (measured.vertical_rate) return measured.vertical_rate->count;
  if (!measured.v_total || !sane(measured.v_total->count)) return std::nullopt;
  const std::int64_t fields = interlaced ? 2000 : 1000;
  if (measured.line_rate && sane(measured.line_rate->count)) {
    return measured.line_rate->count * fields / measured.v_total->count;
  }
  if (measured.pixel_clock && sane(measured.pixel_clock->count) && measured.h_total &&
      sane(measured.h_total->count)) {
    return measured.pixel_clock->count * fields / measured.h_total->count / measured.v_total->count;
  }
  return std::nullopt;
}

struct Formula {
  TimingOrigin origin;
  std::string_view word;
  Blanking blanking;
};
constexpr std::array<Formula, 3> kFormulas = {
    {{TimingOrigin::kCvt, "cvt", Blanking::kStandard},
     {TimingOrigin::kCvtReduced, "cvt-rb", Blanking::kReduced},
     {TimingOrigin::kCvtReducedV2, "cvt-rb2", Blanking::kReducedV2}}};

std::string computed_name(std::string_view word, Size size, bool interlaced, std::string_view rate) {
  return std::string(word) + ' ' + std::to_string(size.first) + " x " + std::to_string(size.second) +
         (interlaced ? "i @ " : " @ ") + std::string(rate) + " Hz";
}

void offer_computed(Collector& collector, Size size, std::int64_t hertz, bool interlaced) {
  const model::Pixels columns{size.first};
  const model::Pixels lines{size.second};
  const model::Millihertz rate{hertz * 1000};
  const std::string rate_text = std::to_string(hertz);
  for (const Formula& formula : kFormulas) {
    CvtRequest request{columns, lines, rate, formula.blanking, interlaced, false};
    if (const auto timing = cvt(request)) {
      collector.offer(formula.origin, computed_name(formula.word, size, interlaced, rate_text), *timing);
    }
    if (formula.blanking != Blanking::kReducedV2) continue;
    request.video_rate = true;
    if (const auto timing = cvt(request)) {
      collector.offer(formula.origin, computed_name(formula.word, size, interlaced, rate_text + "/1.001"),
                      *timing);
    }
  }
  if (const auto timing = gtf({columns, lines, rate, interlaced})) {
    collector.offer(TimingOrigin::kGtf, computed_name("gtf", size, interlaced, rate_text), *timing);
  }
}

}  // namespace

std::vector<Candidate> identify(const Measured& measured, const MeasuringError& error) {
  Collector collector(measured, error);
  offer_tables(collector);
  for (const bool interlaced : {false, true}) {
    if (measured.interlaced.value_or(interlaced) != interlaced) continue;
    const auto rate = rate_of(measured, interlaced);
    if (!rate || *rate < 1000 || *rate > 1'000'000) continue;
    // A clock cut down to its step lowers the rate by up to two hertz.
    const std::int64_t nearest = (*rate + 500) / 1000;
    for (std::int64_t hertz = nearest - 1; hertz <= nearest + 2; ++hertz) {
      for (const Size& size : sizes(measured)) offer_computed(collector, size, hertz, interlaced);
    }
  }
  return collector.take();
}

}  // namespace host::signal
