#include "host/signal/find_timing.hpp"

#include <cmath>

#include <doctest/doctest.h>

#include "tests/host/signal/vectors.hpp"

using namespace host;

namespace {

// "dmt-0x52" is "dmt 52h", "vic-16" is "cta 16"; of others there is no name.
std::string name_of(const std::string& id) {
  if (id.starts_with("dmt-0x")) return "dmt " + id.substr(6) + "h";
  if (id.starts_with("vic-")) return "cta " + id.substr(4);
  return {};
}

}  // namespace

TEST_SUITE("host/signal/find_timing") {
  TEST_CASE("every row of the standards' tables is found by its name") {
    const auto rows = tests::read_vectors("timings.csv");
    int found = 0;
    for (const auto& row : rows) {
      const std::string name = name_of(row.at("id"));
      if (name.empty()) continue;
      CAPTURE(name);
      const auto timing = signal::find_timing(name);
      REQUIRE(timing);
      ++found;
      const bool interlaced = row.at("interlaced") == "1";
      const double fields = interlaced ? 2 : 1;
      const auto h_border = tests::number(row, "h_border");
      const auto v_border = tests::number(row, "v_border");
      CHECK(timing->pixel_clock.count == tests::number(row, "pixel_clock_khz") * 1000);
      CHECK(timing->h_active.count == tests::number(row, "h_active"));
      CHECK(timing->h_front.count == tests::number(row, "h_front") + h_border);
      CHECK(timing->h_sync.count == tests::number(row, "h_sync"));
      CHECK(timing->h_back.count == tests::number(row, "h_back") + h_border);
      CHECK(timing->h_total().count == tests::number(row, "h_total"));
      CHECK(timing->v_active.count == tests::number(row, "v_active"));
      CHECK(static_cast<double>(timing->v_front.count - v_border) == std::stod(row.at("v_front")) * fields);
      CHECK(static_cast<double>(timing->v_sync.count) == std::stod(row.at("v_sync")) * fields);
      CHECK(static_cast<double>(timing->v_back.count - v_border) == std::stod(row.at("v_back")) * fields);
      CHECK(timing->v_total().count == tests::number(row, "v_total"));
      CHECK((timing->h_polarity == model::Polarity::kPositive) == (row.at("h_pol") == "+"));
      CHECK((timing->v_polarity == model::Polarity::kPositive) == (row.at("v_pol") == "+"));
      CHECK(timing->interlaced == interlaced);
      const double rate = static_cast<double>(timing->refresh().count) * fields;
      CHECK(std::abs(rate - static_cast<double>(tests::number(row, "refresh_mhz"))) <= fields);
    }
    CHECK(found == 88 + 154);
  }

  TEST_CASE("coordinated timings are computed by their name") {
    // Worked examples of VESA CVT 1.2, exact arithmetic and edid-decode agreeing.
    CHECK(signal::find_timing("cvt 1920 x 1080 @ 60 Hz")->pixel_clock.count == 173'000'000);
    CHECK(signal::find_timing("cvt-rb 1920x1080@60Hz")->pixel_clock.count == 138'500'000);
    CHECK(signal::find_timing("cvt-rb2 1920 x 1080 @ 60 Hz")->pixel_clock.count == 133'320'000);
    CHECK(signal::find_timing("cvt-rb2 1920 x 1080 @ 60/1.001 Hz")->pixel_clock.count == 133'186'000);
    CHECK(signal::find_timing("cvt-rb2 1920 x 1080 @ 60.000 Hz")->pixel_clock.count == 133'320'000);
    CHECK(signal::find_timing("cvt 1920 x 1080i @ 60 Hz")->pixel_clock.count == 82'000'000);
    CHECK(signal::find_timing("dmt 0x52").has_value() == false);
    // 59.94 Hz x 1111 lines x 2000 pixels = 133.18668 MHz, floor to 1 kHz.
    CHECK(signal::find_timing("cvt-rb2 1920 x 1080 @ 59.94 Hz")->pixel_clock.count == 133'186'000);
  }

  TEST_CASE("generalised timings and the other rates of CTA codes have names too") {
    CHECK(signal::find_timing("gtf 640 x 480 @ 60 Hz")->pixel_clock.count == 23'856'000);  // 800 x 497 x 60
    CHECK(signal::find_timing("cta 16/1.001")->pixel_clock.count == 148'351'648);  // 148.5 MHz / 1.001
    CHECK(signal::find_timing("cta 3*1.001")->pixel_clock.count == 27'027'000);
    CHECK(signal::find_timing("cta 16/1.001")->refresh().count == 59'940);
  }

  TEST_CASE("any other name is refused with a sentence") {
    for (const char* name : {"",
                             "dmt",
                             "dmt ",
                             "dmt 52",
                             "dmt 59h",
                             "dmt 00h",
                             "dmt zzh",
                             "dmt 52hh",
                             "cta",
                             "cta 0",
                             "cta 128",
                             "cta 192",
                             "cta 220",
                             "cta 16 x",
                             "cta -1",
                             "cta 99999999999999999999",
                             "cvt 1920",
                             "cvt 1920 x",
                             "cvt 1920 x 1080",
                             "cvt 1920 x 1080 @",
                             "cvt 1920 x 1080 @ 60",
                             "cvt 1920 x 1080 @ 60 Hz!",
                             "cvt 1920 x 1080 @ 60.1234 Hz",
                             "cvt 1920 x 1080 @ 60. Hz",
                             "cvt 0 x 0 @ 0 Hz",
                             "cvt-rb 1920 x 1080 @ 60/1.001 Hz",
                             "cvt-rb2 1920 x 1080i @ 60 Hz",
                             "CVT 1920 x 1080 @ 60 Hz",
                             "cta 16*1.001",
                             "cta 3/1.001",
                             "cta 31/1.001",
                             "gtf 640 x 480 @ 60/1.001 Hz",
                             "gtf 640 x 480"}) {
      CAPTURE(name);
      const auto timing = signal::find_timing(name);
      REQUIRE_FALSE(timing);
      CHECK(timing.error().size() > 20);
    }
  }
}
