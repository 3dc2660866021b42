#include "host/signal/edid_check.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/signal/edid_read.hpp"
#include "tests/host/signal/golden_edids.hpp"

using namespace host;

namespace {

using signal::Edid;
using signal::EdidRule;

Edid golden(const char* name) {
  return signal::read_edid(tests::golden_edid(name)).edid.value_or(Edid{});
}

bool finds(const Edid& edid, EdidRule rule, std::size_t offset) {
  return std::ranges::any_of(signal::check_edid(edid), [&](const signal::EdidFault& fault) {
    return fault.rule == rule && fault.offset == offset;
  });
}

}  // namespace

TEST_SUITE("host/signal/edid_check") {
  TEST_CASE("each broken rule is found alone and at its place") {
    struct Row {
      const char* name;
      EdidRule rule;
      std::size_t offset;
      void (*change)(Edid&);
    };
    constexpr const char* kPanel = "qzx-panel-1280x800";
    constexpr const char* kHdmi = "zqj-hdmi-1920x1080";
    constexpr const char* kVga = "xqv-vga-1024x768";
    const auto limits = [](Edid& edid) -> signal::RangeLimits& {
      return std::get<signal::RangeLimits>(edid.descriptors[3]);
    };
    static const auto kLimits = limits;
    const Row rows[] = {
        {kPanel, EdidRule::kVersion, 0x12, [](Edid& e) { e.revision = 5; }},
        {kPanel, EdidRule::kMaker, 0x08, [](Edid& e) { e.maker = 0; }},
        {kPanel, EdidRule::kMaker, 0x08, [](Edid& e) { e.maker |= 0x8000; }},
        {kPanel, EdidRule::kDate, 0x10, [](Edid& e) { e.week = 55; }},
        {kPanel, EdidRule::kDate, 0x11, [](Edid& e) { e.year_code = 9; }},
        {kPanel, EdidRule::kInput, 0x14, [](Edid& e) { e.input = 0xF1; }},
        {kPanel, EdidRule::kInput, 0x14, [](Edid& e) { e.input = 0x96; }},
        {kHdmi, EdidRule::kInput, 0x14, [](Edid& e) { e.input = 0x91; }},
        {kHdmi, EdidRule::kSize, 0x15, [](Edid& e) { e.height_cm = 0; }},
        {kPanel, EdidRule::kSize, 0x36 + 12, [](Edid& e) { e.height_cm = 12; }},
        {kPanel, EdidRule::kColour, 0x18, [](Edid& e) { e.features &= 0xFB; }},
        {kPanel, EdidRule::kColour, 0x18, [](Edid& e) { e.chromaticity[0] = 1; }},
        {kHdmi, EdidRule::kFeatures, 0x18, [](Edid& e) { e.features &= 0xFD; }},
        {kPanel, EdidRule::kStandardTiming, 0x28, [](Edid& e) { e.standard[1] = 0x0040; }},
        {kVga, EdidRule::kDuplicate, 0x28, [](Edid& e) { e.standard[1] = e.standard[0]; }},
        {kPanel, EdidRule::kDescriptorOrder, 0x6C, [](Edid& e) { e.descriptors[3] = e.descriptors[0]; }},
        {kPanel, EdidRule::kDuplicate, 0x36, [](Edid& e) { e.descriptors[2] = e.descriptors[1]; }},
        {kHdmi, EdidRule::kMissingDescriptor, 0x36,
         [](Edid& e) { e.descriptors[2] = signal::DummyDescriptor{}; }},
        {kHdmi, EdidRule::kMissingDescriptor, 0x36,
         [](Edid& e) { e.descriptors[3] = signal::DummyDescriptor{}; }},
        {kPanel, EdidRule::kRange, 0x6C + 5, [](Edid& e) { kLimits(e).v_min_hz = 62; }},
        {kPanel, EdidRule::kRange, 0x6C + 10,
         [](Edid& e) { kLimits(e).formula = signal::RangeFormula::kGtf; }},
        {kHdmi, EdidRule::kRange, 0x6C + 10,
         [](Edid& e) { kLimits(e).formula = signal::RangeFormula::kNone; }},
        {kPanel, EdidRule::kOutsideRange, 0x36, [](Edid& e) { kLimits(e).v_min_hz = 60; }},
        {kPanel, EdidRule::kOutsideRange, 0x36, [](Edid& e) { kLimits(e).h_max_khz = 49; }},
        {kPanel, EdidRule::kOutsideRange, 0x36, [](Edid& e) { kLimits(e).pixel_clock_max_mhz = 60; }},
        {kVga, EdidRule::kOutsideRange, 0x24,
         [](Edid& e) { e.established[1] |= 0x01; }},                                     // 1280x1024 at 75 Hz
        {kVga, EdidRule::kOutsideRange, 0x28, [](Edid& e) { e.standard[1] = 0xD1C0; }},  // 1920x1080 at 60 Hz
        {kHdmi, EdidRule::kExtensionCount, 0x7E, [](Edid& e) { e.extension_count = 2; }},
        {kHdmi, EdidRule::kVideoCode, 133,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).blocks[0].payload[0] = 0; }},
        {kHdmi, EdidRule::kDuplicate, 134,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).blocks[0].payload[1] = 16; }},
        {kHdmi, EdidRule::kOutsideRange, 133,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).blocks[0].payload[0] = 97; }},
        {kHdmi, EdidRule::kDataBlock, 131,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).flags = 1; }},
        {kHdmi, EdidRule::kDataBlock, 129,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).revision = 2; }},
        {kHdmi, EdidRule::kDataBlock, 132,
         [](Edid& e) { std::get<signal::CtaExtension>(e.extensions[0]).blocks[0].tag = 6; }},
    };
    for (const Row& row : rows) {
      Edid edid = golden(row.name);
      REQUIRE(signal::check_edid(edid).empty());
      row.change(edid);
      CAPTURE(row.name);
      CAPTURE(signal::to_text(row.rule));
      CAPTURE(row.offset);
      CHECK(finds(edid, row.rule, row.offset));
      CHECK(signal::check_edid(edid).size() == 1);
    }
  }

  TEST_CASE("without a timing first there is no preferred one") {
    Edid edid = golden("qzx-panel-1280x800");
    std::swap(edid.descriptors[0], edid.descriptors[1]);
    CHECK(finds(edid, EdidRule::kFirstTiming, 0x36));
    CHECK(finds(edid, EdidRule::kDescriptorOrder, 0x48));
  }

  TEST_CASE("HDMI wants EDID 1.3 and 640x480") {
    Edid edid = golden("zqj-hdmi-1920x1080");
    edid.revision = 4;
    CHECK(finds(edid, EdidRule::kHdmi, 0x13));
    edid = golden("zqj-hdmi-1920x1080");
    edid.established[0] = 0;
    CHECK(signal::check_edid(edid).empty());  // video code 1 still lists it
    std::get<signal::CtaExtension>(edid.extensions[0]).blocks[0].payload[6] = 32;
    CHECK(finds(edid, EdidRule::kHdmi, 0x23));
  }

  TEST_CASE("a clock limit is told to the nearest 10 MHz") {
    Edid edid = golden("qzx-panel-1280x800");  // 71 MHz
    std::get<signal::RangeLimits>(edid.descriptors[3]).pixel_clock_max_mhz = 70;
    CHECK(signal::check_edid(edid).empty());
  }
}
