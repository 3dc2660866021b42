#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "sim/eye/unit_scene.hpp"
#include "sim/eye/watch.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/sim/eye/seen_bench.hpp"
#include "tests/support/run_program.hpp"

// A board that says for five seconds that it has no source, and then goes dark.

namespace card = host::signal::card;
namespace eye = sim::eye;
using protocol::base::milliseconds;
using sim::unit::Unit;
using sim::unit::UnitSetup;
using tests::sim::live;
using tests::sim::seen_setup;
using tests::sim::seen_text;

namespace {

UnitSetup talkative() {
  UnitSetup setup = seen_setup();
  setup.kit.board.message_for = host::model::Microseconds{5'000'000};
  return setup;
}

void inject(Unit& unit, const char* text) {
  const auto fault = sim::fault::parse_fault(text);
  REQUIRE(fault.has_value());
  REQUIRE(unit.inject(*fault).has_value());
}

// Bright pixels of a part of the picture.
int bright(const card::Raster& picture, int top, int bottom) {
  int count = 0;
  for (int y = top; y < bottom; ++y) {
    for (int x = 0; x < picture.width(); ++x) count += picture.at(x, y).green > 200 ? 1 : 0;
  }
  return count;
}

}  // namespace

TEST_SUITE("sim/eye/message_seen") {
  TEST_CASE("first the message, then dark") {
    for (const char* fault :
         {"no-signal", "wrong-input", "hotplug-low", "source-out-of-range=cvt 2560 x 1600 @ 60 Hz"}) {
      CAPTURE(fault);
      Unit unit{talkative()};
      inject(unit, fault);
      live(unit, milliseconds(4'000));
      CHECK(seen_text(unit) == "message, always");
      live(unit, milliseconds(6'000));
      CHECK(seen_text(unit) == "dark, for-seconds");
    }
  }

  TEST_CASE("pulled out, put back, pulled out") {
    Unit unit{talkative()};
    live(unit, milliseconds(10'000));
    REQUIRE(seen_text(unit) == "picture, always");
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(2'000));
    CHECK(seen_text(unit) == "message, always");
    unit.connect_source(tests::sim::elm_timing());
    live(unit, milliseconds(2'000));
    CHECK(seen_text(unit) == "picture, always");
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(10'000));
    CHECK(seen_text(unit) == "dark, for-seconds");
  }

  TEST_CASE("what is wrong behind the board is wrong with its message too") {
    const auto shows = [](const char* fault) {
      UnitSetup setup = talkative();
      setup.source.reset();
      Unit unit{setup};
      inject(unit, fault);
      live(unit, milliseconds(4'000));
      return seen_text(unit);
    };
    CHECK(shows("backlight-driver-dead") == "dark-image, always");
    CHECK(shows("panel-cable-out") == "black-lit, always");
    CHECK(shows("panel-pair-open=0") == "message, always");
  }

  TEST_CASE("its words stand bright on black in the middle, and tell the two cases apart") {
    const auto drawn = [](const char* fault) {
      Unit unit{talkative()};
      inject(unit, fault);
      live(unit, milliseconds(4'000));
      return eye::picture(eye::scene_of(unit));
    };
    const card::Raster none = drawn("no-signal");
    const card::Raster range = drawn("source-out-of-range=cvt 2560 x 1600 @ 60 Hz");
    REQUIRE(none.height() == 800);
    for (const card::Raster& picture : {none, range}) {
      CHECK(bright(picture, 0, 350) == 0);
      CHECK(bright(picture, 350, 450) > 500);
      CHECK(bright(picture, 450, 800) == 0);
    }
    CHECK(bright(none, 350, 450) != bright(range, 350, 450));
  }

  TEST_CASE("a shipped board does so") {
    auto kit = host::model::load_kit("driver-screen", {tests::support::source_path("host/catalog")});
    REQUIRE(kit.has_value());
    REQUIRE(kit->board.message_for.has_value());
    Unit unit{{*kit, sim::unit::healthy_positions(*kit).positions, sim::unit::settings_of(*kit), std::nullopt,
               "T-0001", 1}};
    live(unit, milliseconds(4'000));
    CHECK(seen_text(unit) == "message, always");
    live(unit, milliseconds(8'000));
    CHECK(seen_text(unit) == "dark, for-seconds");
    unit.connect_source(sim::unit::wanted_timing(*kit));
    live(unit, milliseconds(10'000));
    CHECK(seen_text(unit) == "picture, always");
  }
}
