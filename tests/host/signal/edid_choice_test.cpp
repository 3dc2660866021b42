#include "host/signal/edid_choice.hpp"

#include <doctest/doctest.h>

#include "host/signal/edid_write.hpp"
#include "host/signal/find_timing.hpp"
#include "tests/host/signal/golden_edids.hpp"

using namespace host;

namespace {

using signal::ChoiceRule;
using signal::EdidInterface;

signal::EdidOptions options_of(EdidInterface interface, std::string_view timing) {
  signal::EdidOptions options;
  options.maker = "QZX";
  options.year = 2026;
  options.name = "BENCH";
  options.width_mm = 200;
  options.height_mm = 120;
  options.timing = *signal::find_timing(timing);
  options.interface = interface;
  return options;
}

std::vector<std::uint8_t> bytes_of(const signal::EdidOptions& options) {
  const auto edid = signal::make_edid(options);
  REQUIRE(edid);
  return *signal::write_edid(*edid);
}

}  // namespace

TEST_SUITE("host/signal/edid_choice") {
  TEST_CASE("the first detailed timing is chosen on every interface that can carry it") {
    for (const auto interface :
         {EdidInterface::kVga, EdidInterface::kDvi, EdidInterface::kHdmi, EdidInterface::kDisplayPort}) {
      const auto choice = signal::source_choice(bytes_of(options_of(interface, "dmt 52h")), interface);
      CHECK(choice.rule == ChoiceRule::kPreferred);
      CHECK(choice.name == "detailed 1920 x 1080");
      CHECK(choice.timing == *signal::find_timing("dmt 52h"));
      CHECK(choice.passed_over.empty());
      CHECK_FALSE(choice.rule >= ChoiceRule::kNoEdid);
    }
  }

  // What edid-decode calls the preferred timing of each, tests/vectors/edid/*.decode.txt.
  TEST_CASE("of the reference EDIDs the timings that another program calls preferred are chosen") {
    const std::vector<std::pair<const char*, std::int64_t>> columns = {{"qzx-panel-1280x800", 1280},
                                                                       {"zqj-hdmi-1920x1080", 1920},
                                                                       {"xqv-vga-1024x768", 1024},
                                                                       {"qjx-bar-1920x360", 1920}};
    for (const auto& [name, wide] : columns) {
      CAPTURE(name);
      const auto choice = signal::source_choice(tests::golden_edid(name), EdidInterface::kDisplayPort);
      CHECK(choice.rule == ChoiceRule::kPreferred);
      CHECK(choice.timing.h_active.count == wide);
    }
  }

  TEST_CASE("a pixel clock below a TMDS link's 25 MHz is passed over, and HDMI's 640 x 480 follows") {
    // 480 x 272 at 60 Hz is some 9 MHz: DVI 1.0 and HDMI can't carry it, VGA can.
    const auto hdmi = signal::source_choice(
        bytes_of(options_of(EdidInterface::kHdmi, "cvt-rb 480 x 272 @ 60 Hz")), EdidInterface::kHdmi);
    CHECK(hdmi.rule == ChoiceRule::kListed);
    CHECK(hdmi.name == "established 640 x 480 @ 60 Hz");
    REQUIRE(hdmi.passed_over.size() == 1);
    CHECK(hdmi.passed_over.front().ends_with("the interface carries no less than 25 MHz"));
    const auto dvi = signal::source_choice(
        bytes_of(options_of(EdidInterface::kDvi, "cvt-rb 480 x 272 @ 60 Hz")), EdidInterface::kDvi);
    CHECK(dvi.rule == ChoiceRule::kNothingListed);
    CHECK(dvi.timing == *signal::find_timing("dmt 04h"));
    CHECK(dvi.passed_over.size() == 1);
    const auto vga = signal::source_choice(
        bytes_of(options_of(EdidInterface::kVga, "cvt-rb 480 x 272 @ 60 Hz")), EdidInterface::kVga);
    CHECK(vga.rule == ChoiceRule::kPreferred);
  }

  TEST_CASE("a pixel clock above one link of DVI is passed over for the next detailed timing") {
    auto options = options_of(EdidInterface::kDvi, "cvt-rb 2560 x 1440 @ 60 Hz");  // 241.5 MHz
    options.more_timings = {*signal::find_timing("dmt 23h")};
    const auto choice = signal::source_choice(bytes_of(options), EdidInterface::kDvi);
    CHECK(choice.rule == ChoiceRule::kListed);
    CHECK(choice.name == "detailed 1280 x 1024");
    CHECK(signal::source_choice(bytes_of(options), EdidInterface::kDisplayPort).timing.h_active.count ==
          2560);
  }

  TEST_CASE("EDID 1.3 that calls no timing preferred is taken in its order all the same") {
    auto edid = signal::make_edid(options_of(EdidInterface::kVga, "dmt 10h"));
    REQUIRE(edid);
    edid->features = static_cast<std::uint8_t>(edid->features & ~2U);
    const auto choice = signal::source_choice(*signal::write_edid(*edid), EdidInterface::kVga);
    CHECK(choice.rule == ChoiceRule::kListed);
    CHECK(choice.timing == *signal::find_timing("dmt 10h"));
  }

  TEST_CASE("without an EDID every interface falls back to 640 x 480, and some sources to 1024 x 768") {
    for (const auto interface :
         {EdidInterface::kVga, EdidInterface::kDvi, EdidInterface::kHdmi, EdidInterface::kDisplayPort}) {
      const auto choice = signal::source_choice({}, interface);
      CHECK(choice.rule == ChoiceRule::kNoEdid);
      CHECK(choice.rule >= ChoiceRule::kNoEdid);
      CHECK(choice.timing == *signal::find_timing("dmt 04h"));
      const bool desktop = interface == EdidInterface::kVga || interface == EdidInterface::kDvi;
      CHECK(choice.also_possible.size() == (desktop ? 1 : 0));
    }
  }

  TEST_CASE("any flipped bit of the first block makes the EDID count as none; a cut one as well") {
    const auto sound = bytes_of(options_of(EdidInterface::kHdmi, "dmt 52h"));
    for (std::size_t bit = 0; bit < signal::kEdidBlockSize * 8; ++bit) {
      CAPTURE(bit);
      auto damaged = sound;
      damaged[bit / 8] ^= static_cast<std::uint8_t>(1U << bit % 8);
      CHECK(signal::source_choice(damaged, EdidInterface::kHdmi).rule == ChoiceRule::kDamaged);
    }
    for (std::size_t size = 1; size < signal::kEdidBlockSize; ++size) {
      CHECK(signal::source_choice(std::span(sound).first(size), EdidInterface::kHdmi).rule ==
            ChoiceRule::kDamaged);
    }
    // A damaged extension leaves the first block, and so the choice, as it is.
    auto extension = sound;
    extension[200] ^= 0x01;
    CHECK(signal::source_choice(extension, EdidInterface::kHdmi).rule == ChoiceRule::kPreferred);
  }
}
