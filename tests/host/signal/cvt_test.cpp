#include "host/signal/cvt.hpp"

#include <array>

#include <doctest/doctest.h>

#include "tests/host/signal/vectors.hpp"

using namespace host;

namespace {

signal::CvtRequest request(long long columns, long long lines, long long rate_mhz,
                           signal::Blanking blanking) {
  signal::CvtRequest result;
  result.columns = {columns};
  result.lines = {lines};
  result.rate = {rate_mhz};
  result.blanking = blanking;
  return result;
}

}  // namespace

TEST_SUITE("host/signal/cvt") {
  TEST_CASE("every vector of the standard's formula comes out exactly") {
    const auto rows = tests::read_vectors("cvt-vectors.csv");
    REQUIRE(rows.size() == 169);
    constexpr std::array kBlanking = {signal::Blanking::kStandard, signal::Blanking::kReduced,
                                      signal::Blanking::kReducedV2};
    for (const auto& row : rows) {
      CAPTURE(row.at("width"));
      CAPTURE(row.at("height"));
      CAPTURE(row.at("refresh_hz"));
      CAPTURE(row.at("reduced_blanking"));
      auto asked = request(tests::number(row, "width"), tests::number(row, "height"),
                           tests::number(row, "refresh_hz") * 1000,
                           kBlanking.at(static_cast<std::size_t>(tests::number(row, "reduced_blanking"))));
      asked.video_rate = row.at("video_optimized") == "1";
      const auto timing = signal::cvt(asked);
      REQUIRE(timing);
      CHECK(timing->pixel_clock.count == tests::number(row, "pixel_clock_khz") * 1000);
      CHECK(timing->h_front.count == tests::number(row, "h_front"));
      CHECK(timing->h_sync.count == tests::number(row, "h_sync"));
      CHECK(timing->h_back.count == tests::number(row, "h_back"));
      CHECK(timing->h_total().count == tests::number(row, "h_total"));
      CHECK(timing->v_front.count == tests::number(row, "v_front"));
      CHECK(timing->v_sync.count == tests::number(row, "v_sync"));
      CHECK(timing->v_back.count == tests::number(row, "v_back"));
      CHECK(timing->v_total().count == tests::number(row, "v_total"));
      CHECK((timing->h_polarity == model::Polarity::kPositive) == (row.at("h_pol") == "+"));
      CHECK((timing->v_polarity == model::Polarity::kPositive) == (row.at("v_pol") == "+"));
      // The file cuts the rate off, a timing rounds it.
      const auto rate = tests::number(row, "actual_refresh_mhz");
      CHECK(timing->refresh().count >= rate);
      CHECK(timing->refresh().count <= rate + 1);
    }
  }

  TEST_CASE("an interlaced timing carries both fields") {
    // 1920x1080, 60 fields a second: 82.000 MHz, 64/192/256 of 2432, a field of 3.5/5/14 lines and 562.5 in
    // all (exact arithmetic, and edid-decode --cvt w=1920,h=1080,fps=60,interlaced).
    auto asked = request(1920, 1080, 60'000, signal::Blanking::kStandard);
    asked.interlaced = true;
    const auto timing = signal::cvt(asked);
    REQUIRE(timing);
    CHECK(timing->pixel_clock.count == 82'000'000);
    CHECK(timing->h_front.count == 64);
    CHECK(timing->h_sync.count == 192);
    CHECK(timing->h_total().count == 2432);
    CHECK(timing->v_front.count == 7);
    CHECK(timing->v_sync.count == 10);
    CHECK(timing->v_back.count == 28);
    CHECK(timing->v_total().count == 1125);
    CHECK(timing->refresh().count == 29971);  // frames; 59.942 fields
  }

  TEST_CASE("what the formula doesn't have is refused") {
    CHECK_FALSE(signal::cvt(request(63, 480, 60'000, signal::Blanking::kStandard)));
    CHECK_FALSE(signal::cvt(request(640, 16385, 60'000, signal::Blanking::kStandard)));
    CHECK_FALSE(signal::cvt(request(640, 480, 999, signal::Blanking::kStandard)));
    CHECK_FALSE(signal::cvt(request(640, 480, 1'000'001, signal::Blanking::kReduced)));
    auto interlaced = request(1920, 1080, 60'000, signal::Blanking::kReducedV2);
    interlaced.interlaced = true;
    CHECK_FALSE(signal::cvt(interlaced));
    auto video = request(1920, 1080, 60'000, signal::Blanking::kReduced);
    video.video_rate = true;
    CHECK_FALSE(signal::cvt(video));
  }

  TEST_CASE("the corners of the range neither overflow nor divide by zero") {
    for (const long long columns : {64LL, 16384LL}) {
      for (const long long lines : {64LL, 16384LL}) {
        for (const long long rate : {1000LL, 1'000'000LL}) {
          for (const auto blanking :
               {signal::Blanking::kStandard, signal::Blanking::kReduced, signal::Blanking::kReducedV2}) {
            const auto timing = signal::cvt(request(columns, lines, rate, blanking));
            REQUIRE(timing);
            CHECK(timing->h_total().count > columns);
            CHECK(timing->v_total().count > lines);
          }
        }
      }
    }
  }
}
