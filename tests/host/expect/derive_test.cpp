#include <doctest/doctest.h>

#include "host/expect/budget.hpp"
#include "host/expect/expectation.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;

TEST_SUITE("host/expect/derive") {
  TEST_CASE("a sound kit has no finding, and every strap a position") {
    const auto kit = tests::sound_kit();
    const auto expectation = tests::expectation_of(kit);
    for (const auto& finding : expectation.findings) MESSAGE(finding.consequence);
    CHECK(expectation.findings.empty());
    CHECK(tests::accepted(kit.board, expectation.straps, "BR1") == "2-3");  // 5 V, 4.85..5.15 in 4.5..5.5
    CHECK(tests::accepted(kit.board, expectation.straps, "BR2") == "2-3");  // 5 V; 3.3 V is below 3.5 V
    CHECK(tests::accepted(kit.board, expectation.straps, "BR3") == "1-2");  // low-is-brighter
    CHECK(tests::accepted(kit.board, expectation.straps, "BR4") == "2-3");  // jeida-24
    CHECK(tests::accepted(kit.board, expectation.straps, "BR5") == "1-2");  // the kit has a keypad
  }

  TEST_CASE("link, timing and window follow from the kit") {
    auto kit = tests::sound_kit();
    kit.panel.signal.window = model::Panel::Window{{0}, {220}};
    kit.panel.glass.lines = {360};
    const auto expectation = tests::expectation_of(kit);
    // VESA CVT 1.2, reduced blanking: 1280x800@60 is 71.000 MHz, 1440 x 823, 59.910 Hz (worked there).
    CHECK(expectation.timing.pixel_clock.count == 71'000'000);
    CHECK(expectation.timing.h_total().count == 1440);
    CHECK(expectation.timing.v_total().count == 823);
    CHECK(expectation.timing.refresh().count == 59'910);
    // Open LVDS Display Interface 0.95, 5.4: 71 MHz / 1 channel x 7 bits = 497 Mbit/s.
    CHECK(expectation.link.channels == 1);
    CHECK(expectation.link.channel_clock.count == 71'000'000);
    CHECK(expectation.link.bit_rate_kbps == 497'000);
    CHECK(expectation.link.bits == 24);
    REQUIRE(expectation.window);
    CHECK(expectation.window->y.count == 220);
    CHECK(expectation.window->width.count == 1280);
    CHECK(expectation.window->height.count == 360);
  }

  TEST_CASE(
      "the supply's need is the panel at worst and the light at constant power, through the converter") {
    const auto kit = tests::sound_kit();
    const auto expectation = tests::expectation_of(kit);
    // 5 V x 0.45 A / 80 % = 2.8125 W, 9.6 W / 80 % = 12 W, board 3 W: 17.8125 W, each part rounded up to the
    // mW.
    CHECK(expectation.supply.power.count == 17'813);
    // 17.813 W / 22.8 V = 781.3 mA.
    CHECK(expectation.supply.current.count == 782);
    CHECK(expectation.supply.voltage.count == 24'000);
    // 17.813 W / 80 % = 22.3 W: the next size sold is 24 W.
    CHECK(expectation.supply.recommended_power.count == 24'000);
    // 9.6 W / (12 V - 3 %) = 824.7 mA.
    CHECK(expect::light_current(kit, expectation.functions)->count == 825);
  }

  TEST_CASE("what the keypad draws passes through the converter like everything else, in every state") {
    auto kit = tests::sound_kit();
    kit.keypad->current = {100};
    const auto supply = tests::expectation_of(kit).supply;
    // 5 V x 0.1 A / 80 % = 0.625 W on top of 17.813 W.
    CHECK(supply.power.count == 18'438);
    CHECK(supply.why.find("keypad 5 V x 0.1 A / 80 %") != std::string::npos);
    const auto without = [&] {
      kit.keypad.reset();
      return tests::expectation_of(kit).supply;
    }();
    CHECK(supply.idle.count - without.idle.count == 625);
    CHECK(supply.white.count - without.white.count == 625);
  }

  TEST_CASE("the supply's need is told for every state of the panel, and what its fuse carries") {
    auto kit = tests::sound_kit();
    kit.panel.supply.black = {300};
    kit.panel.supply.white = {280};
    kit.board.input_supply.fuse = {4000};
    const auto supply = tests::expectation_of(kit).supply;
    // 5 V x 0.12, 0.3, 0.28 A / 80 % = 0.75, 1.875, 1.75 W, each beside 12 W of light and 3 W of board.
    CHECK(supply.idle.count == 15'750);
    CHECK(supply.black.count == 16'875);
    CHECK(supply.white.count == 16'750);
    CHECK(supply.panel_inrush.count == 1500);
    CHECK(supply.fuse_load.count == 195'500);  // 782 mA of 4 A
    CHECK(supply.why.find("17.813 W; / 22.8 V = 0.782 A") != std::string::npos);
  }

  TEST_CASE("what drops on a cable is worked out with both conductors and every contact") {
    auto kit = tests::sound_kit();
    const auto expectation = tests::expectation_of(kit);
    REQUIRE(expectation.drops.size() == 2);
    const auto& light = expectation.drops[1];
    // Two wires out and two back, 0.3 m of AWG 26 at 60 °C: 133.9 mΩ/m x 0.3 m x 1.1572 + 2 x 20 mΩ = 86.48
    // mΩ a wire, 43.24 mΩ each way. 9.6 W from 11.64 V: (11.64 + sqrt(135.4896 - 4 x 0.08648 x 9.6)) / 2
    // = 11.568 V.
    CHECK(light.net == "VLIGHT");
    CHECK(light.resistance.count == doctest::Approx(86'480).epsilon(0.001));
    CHECK(light.at_load_min.count == 11'568);
    CHECK(light.drop.count == 72);
    CHECK(light.current.count == 830);  // 9.6 W / 11.568 V
    CHECK_FALSE(light.why.empty());
    // A second cable of the light shares its power.
    kit.cables["W4"] = kit.cables["W2"];
    const auto shared = tests::expectation_of(kit).drops;
    REQUIRE(shared.size() == 3);
    CHECK(shared[1].current.count == 414);  // 4.8 W / 11.604 V
  }

  TEST_CASE("intervals of the sequence are the panel's beside the board's, and limits of their points") {
    auto kit = tests::sound_kit();
    kit.board.sequence = host::model::Board::Sequence{};
    kit.board.sequence->signal_to_light = {{{210'000}}, {}, {{250'000}}};
    kit.board.sequence->resolution = {1000};
    kit.board.sequence->keeps_at_loss = true;
    const auto expectation = tests::expectation_of(kit);
    REQUIRE(expectation.sequence.intervals.size() == 5);
    CHECK(expectation.sequence.intervals[2].name == "signal_to_light");
    CHECK(expectation.sequence.intervals[2].takes.min->count == 200'000);
    CHECK(expectation.sequence.intervals[2].gives->min->count == 210'000);
    CHECK(expectation.sequence.keeps_at_loss == true);
    const auto* point = tests::find(expectation, protocol::points::Point::kSequenceSignalToLightUs);
    REQUIRE(point != nullptr);
    REQUIRE(point->limits.size() == 1);
    CHECK(point->limits[0].bounds.min == 200'000);
    CHECK(point->limits[0].severity == model::Severity::kWarning);
    CHECK(point->uncertainty.at(200'000) == 1000);
    CHECK_FALSE(point->required);  // a unit that never slept has no last interval
    // What the panel doesn't limit is no point.
    CHECK(tests::find(expectation, protocol::points::Point::kSequenceRestUs) == nullptr);
  }

  TEST_CASE("what is passed through is not converted, and is as wide as the supply") {
    auto kit = tests::sound_kit();
    kit.supply.voltage = {{{11'640}}, {{12'000}}, {{12'360}}};
    kit.board.rails[2].origin = model::RailOrigin::kPassedThrough;
    kit.board.rails[2].choices.clear();
    const auto expectation = tests::expectation_of(kit);
    // 2.8125 W (converted) + 9.6 W (not) + 3 W.
    CHECK(expectation.supply.power.count == 15'413);
    const auto* light = tests::find(expectation, protocol::points::Point::kRailsLightOutMv);
    REQUIRE(light != nullptr);
    CHECK(light->limits.back().bounds.min == 11'640);
    CHECK(light->limits.back().bounds.max == 12'360);
    CHECK(expectation.findings.empty());
  }

  TEST_CASE("sizes of supplies step where eighty percent of one is reached") {
    CHECK(expect::recommended_power({9'600}).count == 12'000);
    CHECK(expect::recommended_power({9'601}).count == 18'000);
    CHECK(expect::recommended_power({48'000}).count == 60'000);
    CHECK(expect::recommended_power({48'001}).count == 65'000);
    CHECK(expect::recommended_power({120'000}).count == 150'000);
    CHECK(expect::recommended_power({160'000}).count == 200'000);
  }

  TEST_CASE("of several values that fit, the one nearest the panel's nominal voltage is set") {
    auto kit = tests::sound_kit();
    kit.panel.supply.voltage = {{{3000}}, {{4500}}, {{13'000}}};
    const auto expectation = tests::expectation_of(kit);
    CHECK(tests::accepted(kit.board, expectation.straps, "BR1") == "1-2 2-3 3-4");
    CHECK(to_text(kit.board.straps[0], expectation.straps[0].position) == "2-3");
  }

  TEST_CASE("a value that fits only without its tolerance doesn't fit") {
    auto kit = tests::sound_kit();
    kit.panel.supply.voltage = {{{4850}}, {{5000}}, {{5150}}};  // exactly 5 V ±3 %
    CHECK(tests::accepted(kit.board, tests::expectation_of(kit).straps, "BR1") == "2-3");
    kit.panel.supply.voltage.max = {5149};
    CHECK(tests::accepted(kit.board, tests::expectation_of(kit).straps, "BR1").empty());
  }

  TEST_CASE("without a keypad its strap may stand anywhere") {
    auto kit = tests::sound_kit();
    kit.keypad.reset();
    kit.cables.erase("W3");
    const auto expectation = tests::expectation_of(kit);
    CHECK(expectation.findings.empty());
    CHECK_FALSE(expectation.straps[4].required);
    CHECK(expectation.straps[4].accepted.size() == 2);
    CHECK(tests::find(expectation, protocol::points::Point::kRailsKeypadOutMv) == nullptr);
  }

  TEST_CASE("a function's measured consequence is a point the board has") {
    auto kit = tests::sound_kit();
    using protocol::points::Point;
    CHECK(tests::expectation_of(kit).functions[0].consequence == Point::kRailsPanelSelectedMv);
    kit.board.absent = {Point::kRailsPanelSelectedMv};
    CHECK(tests::expectation_of(kit).functions[0].consequence == Point::kRailsPanelOutMv);
    kit.board.absent.push_back(Point::kRailsPanelOutMv);
    CHECK_FALSE(tests::expectation_of(kit).functions[0].consequence);
    CHECK(tests::expectation_of(kit).functions[0].can_destroy);
  }

  TEST_CASE("a timing that no standard has is an error of the kit file, with its place") {
    auto kit = tests::sound_kit();
    kit.video.timing = std::string("dmt 99h");
    kit.video.timing_place = {17, 10};
    const auto expectation = expect::derive(kit);
    REQUIRE_FALSE(expectation);
    CHECK(expectation.error().front().path == "kits/bench-display.toml");
    CHECK(expectation.error().front().place == model::Place{17, 10});
    CHECK(expectation.error().front().what.find("dmt 99h") != std::string::npos);
    kit = tests::sound_kit();
    kit.video.input = "hdmi-9";
    CHECK_FALSE(expect::derive(kit));
  }

  TEST_CASE("an uncertainty is rounded up and adds its absolute part") {
    const expect::Uncertainty uncertainty{{15'000}, 2};
    CHECK(uncertainty.at(5000) == 77);  // 1.5 % of 5000 is 75, and 2
    CHECK(uncertainty.at(5001) == 78);
    CHECK(uncertainty.at(-5000) == 77);
    CHECK(uncertainty.at(0) == 2);
  }
}
