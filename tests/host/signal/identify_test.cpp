#include "host/signal/identify.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/signal/cvt.hpp"
#include "host/signal/find_timing.hpp"
#include "host/signal/gtf.hpp"
#include "tests/host/signal/vectors.hpp"

using namespace host;

namespace {

using signal::Candidate;
using signal::Measured;

model::Polarity polarity(const std::string& sign) {
  return sign == "+" ? model::Polarity::kPositive : model::Polarity::kNegative;
}

// A row of timings.csv as a board would measure it, every frequency off by `ppm`, both totals by `count`.
Measured measured(const tests::CsvRow& row, std::int64_t ppm, std::int64_t count) {
  const auto off = [&](std::int64_t value) { return value + value * ppm / 1'000'000; };
  const std::int64_t clock = tests::number(row, "pixel_clock_khz") * 1000;
  Measured result;
  result.pixel_clock = model::Hertz{off(clock)};
  const std::int64_t h_total = tests::number(row, "h_total");
  result.line_rate = model::Hertz{off((clock + h_total / 2) / h_total)};
  result.vertical_rate = model::Millihertz{off(tests::number(row, "refresh_mhz"))};
  result.h_active = model::Pixels{tests::number(row, "h_active")};
  result.h_total = model::Pixels{tests::number(row, "h_total") + count};
  result.v_active = model::Pixels{tests::number(row, "v_active")};
  result.v_total = model::Pixels{tests::number(row, "v_total") + count};
  result.h_polarity = polarity(row.at("h_pol"));
  result.v_polarity = polarity(row.at("v_pol"));
  result.interlaced = row.at("interlaced") == "1";
  return result;
}

bool is_raster_of(const model::Timing& timing, const tests::CsvRow& row) {
  return timing.pixel_clock.count == tests::number(row, "pixel_clock_khz") * 1000 &&
         timing.h_total().count == tests::number(row, "h_total") &&
         timing.v_total().count == tests::number(row, "v_total") &&
         timing.h_active.count == tests::number(row, "h_active") &&
         timing.v_active.count == tests::number(row, "v_active") &&
         timing.h_sync.count == tests::number(row, "h_sync") &&
         timing.h_polarity == polarity(row.at("h_pol")) && timing.v_polarity == polarity(row.at("v_pol"));
}

// Candidates that stand before the row's own; -1 when it isn't there.
int rank(const std::vector<Candidate>& candidates, const tests::CsvRow& row) {
  const auto own =
      std::ranges::find_if(candidates, [&](const Candidate& c) { return is_raster_of(c.timing, row); });
  return own == candidates.end() ? -1 : static_cast<int>(own - candidates.begin());
}

Measured measured(const model::Timing& timing) {
  Measured result;
  result.pixel_clock = timing.pixel_clock;
  result.vertical_rate = model::Millihertz{timing.refresh().count * (timing.interlaced ? 2 : 1)};
  result.h_total = timing.h_total();
  result.v_total = timing.v_total();
  result.h_active = timing.h_active;
  result.v_active = timing.v_active;
  result.h_polarity = timing.h_polarity;
  result.v_polarity = timing.v_polarity;
  result.interlaced = timing.interlaced;
  return result;
}

bool names(const Candidate& candidate, const std::string& name) {
  return std::ranges::find(candidate.names, name) != candidate.names.end();
}

}  // namespace

TEST_SUITE("host/signal/identify") {
  TEST_CASE("every row of the tables, measured exactly, comes first with no distance") {
    const auto rows = tests::read_vectors("timings.csv");
    REQUIRE(rows.size() == 251);
    for (const auto& row : rows) {
      CAPTURE(row.at("id"));
      const auto candidates = signal::identify(measured(row, 0, 0));
      REQUIRE_FALSE(candidates.empty());
      const int own = rank(candidates, row);
      REQUIRE(own >= 0);
      CHECK(candidates[static_cast<std::size_t>(own)].distance <= 3);  // rates are rounded to a millihertz
      CHECK(own <= 1);  // before it at most a standard that differs only in what wasn't measured
    }
  }

  TEST_CASE("every row is among the first candidates when frequencies are off by 0.2 % and totals by one") {
    for (const auto& row : tests::read_vectors("timings.csv")) {
      for (const std::int64_t ppm : {-2000, 2000}) {
        for (const std::int64_t count : {-1, 0, 1}) {
          CAPTURE(row.at("id"));
          CAPTURE(ppm);
          CAPTURE(count);
          const int own = rank(signal::identify(measured(row, ppm, count)), row);
          CHECK(own >= 0);
          CHECK(own <= 2);
        }
      }
    }
  }

  TEST_CASE("computed timings are named by their formula") {
    const auto check = [](const std::string& name) {
      CAPTURE(name);
      const auto timing = signal::find_timing(name);
      REQUIRE(timing);
      const auto candidates = signal::identify(measured(*timing));
      REQUIRE_FALSE(candidates.empty());
      CHECK(candidates.front().timing == *timing);
      CHECK(names(candidates.front(), name));
      CHECK(candidates.front().distance == 0);
    };
    for (const char* name :
         {"cvt 1920 x 1080 @ 60 Hz", "cvt-rb 1024 x 600 @ 60 Hz", "cvt-rb2 1920 x 360 @ 60 Hz",
          "cvt 640 x 480 @ 72 Hz", "cvt-rb2 1920 x 1080 @ 60/1.001 Hz", "gtf 1024 x 768 @ 60 Hz",
          "cvt 1920 x 1080i @ 60 Hz", "cvt-rb 480 x 1920 @ 60 Hz", "gtf 1280 x 1024 @ 75 Hz", "cta 16/1.001",
          "cta 3*1.001", "cta 5/1.001"}) {
      check(name);
    }
  }

  TEST_CASE("totals, rates and polarities suffice where no active pixels were measured") {
    Measured seen;
    seen.line_rate = model::Hertz{48'363};
    seen.vertical_rate = model::Millihertz{60'004};
    seen.v_total = model::Pixels{806};
    seen.h_polarity = model::Polarity::kNegative;
    seen.v_polarity = model::Polarity::kNegative;
    const auto candidates = signal::identify(seen);
    REQUIRE_FALSE(candidates.empty());
    CHECK(names(candidates.front(), "dmt 10h"));  // 1024x768 at 60 Hz, 65 MHz, 1344 x 806
  }

  TEST_CASE("a wrong polarity puts a candidate back and hides none") {
    const auto timing = *signal::find_timing("dmt 52h");
    Measured seen = measured(timing);
    seen.h_polarity = model::Polarity::kNegative;
    const auto candidates = signal::identify(seen);
    REQUIRE_FALSE(candidates.empty());
    CHECK(candidates.front().timing == timing);
    CHECK(candidates.front().distance == 3000);
  }

  TEST_CASE("names of one raster stand together, standards in their order") {
    const auto candidates = signal::identify(measured(*signal::find_timing("dmt 52h")));
    REQUIRE_FALSE(candidates.empty());
    REQUIRE(candidates.front().names.size() >= 2);
    CHECK(candidates.front().names[0] == "dmt 52h");
    CHECK(candidates.front().names[1] == "cta 16");
    CHECK(candidates.front().origin == signal::TimingOrigin::kDmt);
  }

  TEST_CASE("the same measurement gives the same list, in order of distance") {
    const auto rows = tests::read_vectors("timings.csv");
    for (std::size_t i = 0; i < rows.size(); i += 10) {
      const auto first = signal::identify(measured(rows[i], 1500, 1));
      const auto again = signal::identify(measured(rows[i], 1500, 1));
      REQUIRE(first.size() == again.size());
      for (std::size_t k = 0; k < first.size(); ++k) {
        CHECK(first[k].timing == again[k].timing);
        CHECK(first[k].names == again[k].names);
        if (k > 0) CHECK(first[k - 1].distance <= first[k].distance);
      }
    }
  }

  TEST_CASE("what stands for nothing gives nothing, whatever the numbers") {
    CHECK(signal::identify({}).empty());
    for (const std::int64_t value : {std::int64_t{INT64_MIN}, std::int64_t{-1}, std::int64_t{0},
                                     std::int64_t{1}, std::int64_t{INT64_MAX}}) {
      Measured seen;
      seen.pixel_clock = model::Hertz{value};
      seen.line_rate = model::Hertz{value};
      seen.h_total = model::Pixels{value};
      seen.v_total = model::Pixels{value};
      CHECK(signal::identify(seen).empty());
      seen.vertical_rate = model::Millihertz{value};
      seen.h_active = model::Pixels{value};
      seen.v_active = model::Pixels{value};
      CHECK(signal::identify(seen).empty());
    }
  }
}
