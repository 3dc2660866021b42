#include <doctest/doctest.h>

#include "sim/unit/unit.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using protocol::points::Point;
using protocol::points::Unread;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::kBr3;
using tests::sim::live;
using tests::sim::number;
using tests::sim::says;

// Each figure is worked from the equations of sim/README.md with the figures of elm_kit.hpp.
TEST_SUITE("sim/unit/operating_point") {
  TEST_CASE("a healthy unit that has been on for ten seconds reads what a pencil says") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));

    // Panel: mid-grey (300 + 260) / 2 = 280 mA; 280 mA x 25 mOhm = 7 mV below 5 V.
    CHECK(number(unit, Point::kRailsPanelSelectedMv) == 5'000);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 280);
    CHECK(number(unit, Point::kRailsPanelOutMv) == 4'993);
    // Highest when the ramp ended: idle, 100 mA x 25 mOhm = 2.5 mV, 4997.5 -> 4998.
    CHECK(number(unit, Point::kRailsPanelOutMvMax) == 4'998);
    CHECK(number(unit, Point::kRailsPanelOutMvMin) == 4'993);
    // Light: duty 10 % + 0.8 x 80 % = 74 %; 6 W x 0.74 = 4.44 W; 4.44 W / 11.9907 V = 370.3 mA;
    // 370.3 mA x 25 mOhm = 9.26 mV below 12 V.
    CHECK(number(unit, Point::kBacklightPwmDutyPermille) == 740);
    CHECK(number(unit, Point::kBacklightPwmFrequencyHz) == 200);
    CHECK(number(unit, Point::kRailsLightOutMv) == 11'991);
    CHECK(number(unit, Point::kRailsLightOutMa) == 370);
    CHECK(number(unit, Point::kBacklightEnableMv) == 3'300);
    CHECK(number(unit, Point::kBacklightDimmingMv) == 2'442);  // 0.74 x 3300 mV
    // Supply: 5 V x 0.28 A + 12 V x 0.3703 A = 5.8434 W / 0.8 + 3 W = 10.3043 W;
    // (24 + sqrt(24^2 - 4 x 0.015 x 10.3043)) / 2 = 23.99356 V; 10.3043 / 23.99356 = 429.5 mA.
    CHECK(number(unit, Point::kRailsSupplyInMv) == 23'994);
    CHECK(number(unit, Point::kRailsSupplyInMa) == 429);
    CHECK(number(unit, Point::kRailsSupplyInMvMax) == 24'000);
    CHECK(number(unit, Point::kRailsLogicOutMv) == 3'300);
    CHECK(number(unit, Point::kRailsKeypadOutMv) == 0);  // BR3 is open
    CHECK(number(unit, Point::kRailsBrownOuts) == 0);

    // Input: 1280 + 48 + 32 + 80 = 1440, 800 + 3 + 6 + 14 = 823; 71 MHz / (1440 x 823) = 59.9095 Hz.
    CHECK(number(unit, Point::kInputLocked) == 1);
    CHECK(number(unit, Point::kInputHTotal) == 1'440);
    CHECK(number(unit, Point::kInputVTotal) == 823);
    CHECK(number(unit, Point::kInputPixelClockKhz) == 71'000);
    CHECK(number(unit, Point::kInputRefreshMillihz) == 59'910);
    CHECK(number(unit, Point::kPanelLinkPixelClockKhz) == 71'000);
    CHECK(number(unit, Point::kPanelLinkMapping) == 2);
    CHECK(number(unit, Point::kPanelLinkPllLocked) == 1);
    CHECK(number(unit, Point::kPowerState) == 4);
    CHECK(number(unit, Point::kSnapshotUptimeS) == 9);  // it booted after 50 ms
  }

  TEST_CASE("the power-up keeps the panel's intervals, as its outputs show") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    // 3 ms from 0 to 100 %: 10 % to 90 % takes 2.4 ms, to one step of 0.1 ms either way.
    CHECK(std::abs(number(unit, Point::kSequenceSupplyRiseUs) - 2'400) <= 100);
    // The link comes 3 + 25 ms after the switch, the rail is at 90 % after 2.7 ms: 25.3 ms.
    CHECK(std::abs(number(unit, Point::kSequenceSupplyToSignalUs) - 25'300) <= 200);
    CHECK(std::abs(number(unit, Point::kSequenceSignalToLightUs) - 250'000) <= 100);
    CHECK(says(unit, Point::kSequenceLightToNoSignalUs, Unread::kNoEdges));
    CHECK(says(unit, Point::kSequenceRestUs, Unread::kNoEdges));
  }

  TEST_CASE("brightness moves the duty along the board's line, and the light's current with it") {
    auto setup = elm_setup();
    setup.settings.brightness = {250'000};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    // 10 % + 0.25 x 80 % = 30 %; 6 W x 0.3 = 1.8 W; 1.8 / 11.99625 = 150 mA.
    CHECK(number(unit, Point::kBacklightPwmDutyPermille) == 300);
    CHECK(number(unit, Point::kRailsLightOutMa) == 150);
    CHECK(number(unit, Point::kBacklightLevelCommandedPermille) == 250);
  }

  TEST_CASE("a dimming line that stands still has no edges to measure a frequency by") {
    auto setup = elm_setup();
    setup.kit.board.light.duty_at = {{{0}, {0}}, {{1'000'000}, {1'000'000}}};
    for (const std::int64_t brightness : {0, 1'000'000}) {
      CAPTURE(brightness);
      setup.settings.brightness = {brightness};
      Unit unit{setup};
      live(unit, milliseconds(10'000));
      CHECK(says(unit, Point::kBacklightPwmFrequencyHz, Unread::kNoEdges));
      CHECK(number(unit, Point::kBacklightPwmDutyPermille) == brightness / 1'000);
    }
  }

  TEST_CASE("an enable level between the driver's thresholds does not light it") {
    auto setup = elm_setup();
    setup.kit.board.light.enable_high = host::model::Millivolts{1'900};  // on above 2.0 V, off below 0.8 V
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kBacklightEnableMv) == 1'900);
    CHECK(number(unit, Point::kRailsLightOutMa) == 0);
    setup.kit.board.light.enable_high = host::model::Millivolts{2'000};
    Unit lit{setup};
    live(lit, milliseconds(10'000));
    CHECK(number(lit, Point::kRailsLightOutMa) == 370);
  }

  TEST_CASE("a rail passed through follows the supply") {
    auto setup = elm_setup();
    setup.kit.supply.voltage.nominal = host::model::Millivolts{12'000};
    setup.kit.board.rails[2].origin = host::model::RailOrigin::kPassedThrough;
    setup.kit.board.rails[2].choices.clear();
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    const std::int64_t input = number(unit, Point::kRailsSupplyInMv);
    // 3 W + 1.4 W / 0.8 + 4.44 W = 9.2 W; about 767 mA x 15 mOhm = 11.5 mV below 12 V.
    CHECK(std::abs(input - 11'988) <= 1);
    // 4.44 W / 11.98 V = 371 mA, 9.3 mV below that.
    CHECK(std::abs(number(unit, Point::kRailsLightOutMv) - (input - 9)) <= 1);
  }

  TEST_CASE("a keypad hangs on its own strap") {
    auto setup = elm_setup();
    setup.kit.keypad = host::model::Keypad{};
    setup.straps[kBr3] = {1};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsKeypadOutMv) == 5'000);
    CHECK(number(unit, Point::kKeypadPresent) == 1);
    unit.move_strap(kBr3, {0});
    live(unit, milliseconds(10));
    CHECK(number(unit, Point::kRailsKeypadOutMv) == 0);
    CHECK(number(unit, Point::kKeypadPresent) == 0);
  }
}
