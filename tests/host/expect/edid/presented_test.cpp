#include "host/expect/edid/presented.hpp"

#include <doctest/doctest.h>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_read.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;

namespace {

signal::Edid presented(const model::Kit& kit) {
  const auto bytes = expect::edid::presented_edid(kit, tests::expectation_of(kit).timing, {"QZX", 2026});
  REQUIRE(bytes.has_value());
  auto reading = signal::read_edid(*bytes);
  REQUIRE(reading.edid.has_value());
  CHECK(reading.faults.empty());
  CHECK(signal::check_edid(*reading.edid).empty());
  return *reading.edid;
}

}  // namespace

TEST_SUITE("host/expect/edid") {
  TEST_CASE("for every kind of input the kit's timing is preferred and nothing is wrong with the rest") {
    auto kit = tests::sound_kit();
    for (const std::string kind : {"hdmi", "dvi", "vga", "displayport"}) {
      CAPTURE(kind);
      for (auto& input : kit.board.inputs) input.kind = kind;
      const auto edid = presented(kit);
      const auto* first = std::get_if<signal::DetailedTiming>(&edid.descriptors[0]);
      REQUIRE(first != nullptr);
      CHECK(first->timing == tests::expectation_of(kit).timing);
      CHECK(signal::letters_of(edid.maker) == "QZX");
      CHECK(edid.extensions.size() == (kind == "hdmi" ? 1 : 0));
    }
  }

  TEST_CASE("of a panel that shows a part of its raster, the whole raster's size is told") {
    auto kit = tests::sound_kit();
    // 1280 x 200 of 1280 x 800 on 400 mm x 50 mm: the raster would be 400 mm x 200 mm.
    kit.panel.glass.width = {400'000};
    kit.panel.glass.height = {50'000};
    kit.panel.glass.lines = {200};
    kit.panel.signal.window = model::Panel::Window{{0}, {0}};
    const auto edid = presented(kit);
    const auto* first = std::get_if<signal::DetailedTiming>(&edid.descriptors[0]);
    REQUIRE(first != nullptr);
    CHECK(first->width_mm == 400);
    CHECK(first->height_mm == 200);
  }

  TEST_CASE("what no EDID can hold is refused with its reason") {
    auto kit = tests::sound_kit();
    CHECK_FALSE(
        expect::edid::presented_edid(kit, tests::expectation_of(kit).timing, {"qzx", 2026}).has_value());
    CHECK_FALSE(
        expect::edid::presented_edid(kit, tests::expectation_of(kit).timing, {"QZX", 1970}).has_value());
    kit.panel.glass.width = {0};
    const auto refused = expect::edid::presented_edid(kit, tests::expectation_of(kit).timing, {"QZX", 2026});
    REQUIRE_FALSE(refused.has_value());
    CHECK_FALSE(refused.error().front().empty());
  }
}
