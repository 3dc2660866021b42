#include "host/signal/gtf.hpp"

#include <array>

#include <doctest/doctest.h>

using namespace host;

TEST_SUITE("host/signal/gtf") {
  TEST_CASE("worked timings come out exactly") {
    // edid-decode --gtf and the X server's gtf agree on these; the clock is total x lines x rate, as 800 x
    // 497 x 60.
    struct Row {
      long long columns, lines, hertz, clock_khz, h_front, h_sync, h_back, v_front, v_sync, v_back;
    };
    for (const Row& row :
         {Row{640, 480, 60, 23856, 16, 64, 80, 1, 3, 13}, Row{1024, 768, 60, 64109, 56, 104, 160, 1, 3, 23},
          Row{1280, 1024, 75, 138542, 88, 136, 224, 1, 3, 41}}) {
      CAPTURE(row.columns);
      const auto timing = signal::gtf({{row.columns}, {row.lines}, {row.hertz * 1000}, false});
      REQUIRE(timing);
      CHECK((timing->pixel_clock.count + 500) / 1000 == row.clock_khz);
      CHECK(timing->h_front.count == row.h_front);
      CHECK(timing->h_sync.count == row.h_sync);
      CHECK(timing->h_back.count == row.h_back);
      CHECK(timing->v_front.count == row.v_front);
      CHECK(timing->v_sync.count == row.v_sync);
      CHECK(timing->v_back.count == row.v_back);
      CHECK(timing->h_polarity == model::Polarity::kNegative);
      CHECK(timing->v_polarity == model::Polarity::kPositive);
      CHECK(timing->refresh().count == row.hertz * 1000);
    }
  }

  TEST_CASE("columns are rounded to whole cells") {
    CHECK(signal::gtf({{1366}, {768}, {60'000}, false})->h_active.count == 1368);  // edid-decode: 1368
    CHECK(signal::gtf({{1363}, {768}, {60'000}, false})->h_active.count == 1360);
  }

  TEST_CASE("what the formula doesn't have is refused") {
    CHECK_FALSE(signal::gtf({{63}, {480}, {60'000}, false}));
    CHECK_FALSE(signal::gtf({{640}, {16385}, {60'000}, false}));
    CHECK_FALSE(signal::gtf({{640}, {480}, {999}, false}));
    CHECK_FALSE(signal::gtf({{640}, {480}, {1'000'001}, false}));
    // A line of 100 us leaves no blanking at all on the default curve, one of 66 us not enough for the sync.
    CHECK_FALSE(signal::gtf({{640}, {150}, {60'000}, false}));
    CHECK_FALSE(signal::gtf({{640}, {480}, {60'000}, true}));
  }

  TEST_CASE("the range neither overflows nor yields a timing without porches") {
    for (const long long columns : {64LL, 65LL, 1920LL, 16384LL}) {
      for (const long long lines : {64LL, 65LL, 1080LL, 16384LL}) {
        for (const long long rate : {1000LL, 24'000LL, 59'940LL, 240'000LL, 1'000'000LL}) {
          for (const bool interlaced : {false, true}) {
            const auto timing = signal::gtf({{columns}, {lines}, {rate}, interlaced});
            if (!timing) continue;
            CHECK(timing->h_front.count >= 0);
            CHECK(timing->h_sync.count > 0);
            CHECK(timing->v_back.count >= 0);
            CHECK(timing->pixel_clock.count > 0);
          }
        }
      }
    }
  }
}
