#include <array>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_make.hpp"
#include "host/signal/edid_read.hpp"
#include "host/signal/edid_write.hpp"
#include "host/signal/find_timing.hpp"
#include "tests/host/signal/golden_edids.hpp"
#include "tests/peers/edid_decode/edid_decode.hpp"

using namespace host;

namespace {

using signal::EdidInterface;

std::vector<std::uint8_t> bytes_of(const signal::EdidOptions& options) {
  const auto made = signal::make_edid(options);
  REQUIRE(made);
  const auto bytes = signal::write_edid(*made);
  REQUIRE(bytes);
  return *bytes;
}

signal::EdidOptions options_for(EdidInterface interface, const std::string& timing, int width_mm,
                                int height_mm) {
  signal::EdidOptions options;
  options.maker = "QZX";
  options.product = 4097;
  options.serial = 7;
  options.week = 12;
  options.year = 2021;
  options.name = "SLATE-10";
  options.width_mm = width_mm;
  options.height_mm = height_mm;
  options.interface = interface;
  const auto found = signal::find_timing(timing);
  REQUIRE(found);
  options.timing = *found;
  return options;
}

}  // namespace

TEST_SUITE("peers/edid_decode/conformity") {
  TEST_CASE("EDIDs that we make pass edid-decode's check without a warning") {
    struct Panel {
      const char* timing;
      int width_mm, height_mm;
    };
    for (const Panel& panel : {Panel{"cvt-rb 1280 x 800 @ 60 Hz", 217, 136}, Panel{"cta 16", 477, 268},
                               Panel{"dmt 10h", 304, 228}, Panel{"cvt-rb2 1920 x 360 @ 60 Hz", 698, 131},
                               Panel{"cvt-rb 1024 x 600 @ 60 Hz", 223, 125}, Panel{"dmt 09h", 246, 184},
                               Panel{"cvt-rb 480 x 1920 @ 60 Hz", 120, 480}, Panel{"cta 4", 410, 231}}) {
      for (const auto interface :
           {EdidInterface::kVga, EdidInterface::kDvi, EdidInterface::kHdmi, EdidInterface::kDisplayPort}) {
        CAPTURE(panel.timing);
        CAPTURE(static_cast<int>(interface));
        auto options = options_for(interface, panel.timing, panel.width_mm, panel.height_mm);
        options.audio = interface == EdidInterface::kHdmi && panel.width_mm > 300;
        const auto result = tests::edid_decode::check(bytes_of(options));
        CAPTURE(result.out);
        CHECK(result.exit_code == 0);
        CHECK(result.out.find("EDID conformity: PASS") != std::string::npos);
        CHECK(result.out.find("Warnings:") == std::string::npos);
      }
    }
  }

  TEST_CASE("random options make conforming EDIDs") {
    constexpr unsigned kSeed = 411;
    CAPTURE(kSeed);
    std::mt19937 random(kSeed);
    constexpr std::array<const char*, 6> kTimings = {
        "cvt-rb 1280 x 800 @ 60 Hz", "cta 16", "cta 4", "dmt 10h", "cvt-rb 1920 x 1200 @ 60 Hz",
        "gtf 800 x 600 @ 60 Hz"};
    for (int round = 0; round < 60; ++round) {
      CAPTURE(round);
      auto options =
          options_for(static_cast<EdidInterface>(random() % 4), kTimings.at(random() % kTimings.size()),
                      static_cast<int>(200 + random() % 500), static_cast<int>(150 + random() % 300));
      options.product = static_cast<std::uint16_t>(random());
      options.serial = static_cast<std::uint32_t>(random() % 1'000'000);
      if (random() % 2 == 0) options.serial_text = "SN-" + std::to_string(random() % 100'000);
      options.bits_per_colour = static_cast<int>(6 + 2 * (random() % 3));
      options.audio = options.interface == EdidInterface::kHdmi && random() % 2 == 0;
      if (options.serial_text.empty())
        options.more_timings = {*signal::find_timing(kTimings.at(random() % 3))};
      const auto result = tests::edid_decode::check(bytes_of(options));
      CAPTURE(result.out);
      CHECK(result.exit_code == 0);
    }
  }

  TEST_CASE("what is broken on purpose is refused by both") {
    const auto good = bytes_of(options_for(EdidInterface::kDvi, "cvt-rb 1280 x 800 @ 60 Hz", 217, 136));
    REQUIRE(tests::edid_decode::check(good).exit_code == 0);
    struct Change {
      std::size_t at;
      std::uint8_t value;
      bool mended;
      int exit_code;  // of edid-decode
    };
    // A wrong checksum; a wrong header; an extension told that isn't there; sRGB's bit taken away; an upper
    // limit below the mode; version 1.7; a timing whose sync doesn't fit.
    for (const Change& change :
         {Change{127, 0x55, false, 254}, Change{0, 1, true, 255}, Change{0x7E, 1, true, 254},
          Change{0x18, 0x02, true, 254}, Change{0x5A + 9, 5, true, 0}, Change{0x09, 0x00, true, 254}}) {
      CAPTURE(change.at);
      auto bytes = good;
      bytes[change.at] = change.value;
      if (change.mended) tests::mend_checksums(bytes);
      const auto theirs = tests::edid_decode::check(bytes);
      CHECK(theirs.exit_code == change.exit_code);
      if (change.exit_code == 0)
        CHECK(theirs.out.find("out of range of the Monitor Ranges") != std::string::npos);
      const auto reading = signal::read_edid(bytes);
      const bool ours =
          !reading.faults.empty() || !reading.edid || !signal::check_edid(*reading.edid).empty();
      CHECK(ours);
    }
    for (const std::size_t length : {std::size_t{0}, std::size_t{100}}) {
      CAPTURE(length);
      const std::vector<std::uint8_t> cut(good.begin(), good.begin() + static_cast<std::ptrdiff_t>(length));
      CHECK(tests::edid_decode::check(cut).exit_code == 255);
      CHECK_FALSE(signal::read_edid(cut).edid);
    }
  }
}
