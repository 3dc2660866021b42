#include "host/signal/edid_make.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_fields.hpp"
#include "host/signal/edid_read.hpp"
#include "host/signal/edid_timings.hpp"
#include "host/signal/edid_write.hpp"
#include "host/signal/find_timing.hpp"
#include "tests/host/signal/golden_edids.hpp"

using namespace host;

namespace {

using signal::EdidInterface;
using signal::EdidOptions;

EdidOptions slate() {
  EdidOptions options;
  options.maker = "QZX";
  options.product = 4097;
  options.serial = 1;
  options.week = 12;
  options.year = 2024;
  options.name = "SLATE-10";
  options.width_mm = 217;
  options.height_mm = 136;
  options.timing = *signal::find_timing("cvt-rb 1280 x 800 @ 60 Hz");
  options.bits_per_colour = 6;
  return options;
}

}  // namespace

TEST_SUITE("host/signal/edid_make") {
  TEST_CASE("the reference EDID of a panel comes out of its options but for what they don't have") {
    const auto made = signal::make_edid(slate());
    REQUIRE(made);
    const auto reference = signal::read_edid(tests::golden_edid("qzx-panel-1280x800"));
    REQUIRE(reference.edid);
    for (const auto& difference : signal::diff_edids(*made, *reference.edid)) {
      CAPTURE(difference.name);
      // The reference has one more text ahead of its limits, which are the same but for a wider rate.
      CHECK((difference.name.starts_with("descriptor.3") || difference.name.starts_with("descriptor.4")));
    }
    const auto* limits = std::get_if<signal::RangeLimits>(&made->descriptors[2]);
    REQUIRE(limits != nullptr);
    CHECK(limits->v_min_hz == 59);  // 59.910 Hz
    CHECK(limits->v_max_hz == 60);
    CHECK(limits->h_min_khz == 49);  // 49.306 kHz
    CHECK(limits->h_max_khz == 50);
    CHECK(limits->pixel_clock_max_mhz == 80);  // 71 MHz
  }

  TEST_CASE("what is made is without fault for every interface and survives being written and read") {
    for (const auto interface :
         {EdidInterface::kVga, EdidInterface::kDvi, EdidInterface::kHdmi, EdidInterface::kDisplayPort}) {
      for (const char* timing :
           {"dmt 52h", "cvt-rb 1920 x 360 @ 60 Hz", "cta 16", "cvt-rb2 1366 x 768 @ 60 Hz", "cta 5",
            "cvt-rb 480 x 1920 @ 60 Hz", "gtf 1024 x 768 @ 75 Hz", "cvt-rb 3840 x 2160 @ 60 Hz"}) {
        CAPTURE(static_cast<int>(interface));
        CAPTURE(timing);
        auto options = slate();
        options.interface = interface;
        options.timing = *signal::find_timing(timing);
        options.audio = interface == EdidInterface::kHdmi;
        const auto made = signal::make_edid(options);
        REQUIRE(made);
        CHECK(signal::check_edid(*made).empty());
        const auto bytes = signal::write_edid(*made);
        REQUIRE(bytes);
        const auto reading = signal::read_edid(*bytes);
        REQUIRE(reading.edid);
        CHECK(reading.faults.empty());
        CHECK(made->extensions.size() == (interface == EdidInterface::kHdmi ? 1U : 0U));
        const auto listed = signal::listed_timings(*reading.edid);
        CHECK(std::ranges::any_of(listed, [&](const signal::ListedTiming& mode) {
          return mode.timing.h_total() == options.timing.h_total() &&
                 mode.timing.v_total() == options.timing.v_total();
        }));
      }
    }
  }

  TEST_CASE("an HDMI sink lists the codes of its timings and 640x480") {
    auto options = slate();
    options.interface = EdidInterface::kHdmi;
    options.timing = *signal::find_timing("cta 16");
    options.more_timings = {*signal::find_timing("cta 4"), *signal::find_timing("cta 31")};
    const auto made = signal::make_edid(options);
    REQUIRE(made);
    const auto fields = signal::edid_fields(*made);
    const auto value = [&](const std::string& name) {
      const auto field = std::ranges::find(fields, name, &signal::EdidField::name);
      return field == fields.end() ? std::string("absent") : field->value;
    };
    CHECK(value("extension.1.block.1.codes") == "16, 4, 31, 1");
    CHECK(value("established") == "640 x 480 @ 60 Hz");
    CHECK(value("extension.1.block.2.address") == "1.0.0.0");
    CHECK(value("version") == "1.3");
    CHECK(value("extension.1.native_timings") == "1");
    CHECK(value("descriptor.2.pixel_clock_khz") == "74250");
    CHECK(value("extension.1.descriptor.1.pixel_clock_khz") == "148500");  // no room for it in the base block
  }

  TEST_CASE("everything that can't be had is told at once") {
    EdidOptions options = slate();
    options.maker = "qz";
    options.week = 55;
    options.year = 1999;
    options.width_mm = 0;
    options.bits_per_colour = 7;
    options.name = "A NAME THAT IS TOO LONG";
    options.timing.h_active = {5000};
    const auto made = signal::make_edid(options);
    REQUIRE_FALSE(made);
    CHECK(made.error().size() == 5);  // the name and the timing are told once the others are right
    options = slate();
    options.name = "A NAME THAT IS TOO LONG";
    options.timing.h_active = {5000};
    const auto again = signal::make_edid(options);
    REQUIRE_FALSE(again);
    CHECK(again.error().size() == 2);
  }

  TEST_CASE("limits of one's own must contain the timing") {
    auto options = slate();
    options.limits =
        signal::RangeLimits{50, 59, 40, 49, 60, signal::RangeFormula::kNone, signal::RangeLimits{}.details};
    const auto made = signal::make_edid(options);
    REQUIRE_FALSE(made);
    REQUIRE(made.error().size() == 1);
    CHECK(made.error()[0].find(
              "59.910 Hz, limits 50 to 59, 49.306 kHz, limits 40 to 49, 71.000 MHz, limit 60") !=
          std::string::npos);
  }

  TEST_CASE("more timings than there is room for are refused outside HDMI") {
    auto options = slate();
    options.more_timings = {options.timing, options.timing, options.timing};
    CHECK_FALSE(signal::make_edid(options));
    options.more_timings = {options.timing};
    CHECK(signal::make_edid(options));
  }
}
