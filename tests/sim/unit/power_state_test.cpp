#include <doctest/doctest.h>

#include "sim/unit/unit.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using protocol::points::Point;
using protocol::points::Unread;
using sim::unit::PowerState;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::elm_timing;
using tests::sim::live;
using tests::sim::number;
using tests::sim::says;

namespace {

std::int64_t state(PowerState power) {
  return static_cast<std::int64_t>(power);
}

}  // namespace

TEST_SUITE("sim/unit/power_state") {
  TEST_CASE("waking takes its time: boot, lock, rail, link, light") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(40));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kOff));
    live(unit, milliseconds(20));  // boots at 50 ms
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kWaking));
    CHECK(number(unit, Point::kPowerPanelSwitch) == 0);
    CHECK(says(unit, Point::kRailsPanelOutMv, Unread::kAsleep));
    live(unit, milliseconds(95));  // the receiver locks at 150 ms
    CHECK(number(unit, Point::kPowerPanelSwitch) == 1);
    CHECK(number(unit, Point::kPowerLightSwitch) == 0);
    live(unit, milliseconds(270));  // 150 + 3 + 25 + 250 = 428 ms
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kWaking));
    live(unit, milliseconds(10));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kOn));
    CHECK(number(unit, Point::kPowerLightSwitch) == 1);
  }

  TEST_CASE("without a source the unit waits, and says which points sleep") {
    auto setup = elm_setup();
    setup.source.reset();
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kNoSignal));
    CHECK(number(unit, Point::kPowerReason) == 3);  // no-source
    CHECK(number(unit, Point::kInputCable) == 0);
    CHECK(number(unit, Point::kInputLocked) == 0);
    for (const Point asleep :
         {Point::kRailsPanelOutMv, Point::kRailsPanelOutMa, Point::kRailsPanelOutMvMin,
          Point::kRailsLightOutMa, Point::kBacklightEnableMv, Point::kBacklightPwmFrequencyHz,
          Point::kBacklightPwmDutyPermille, Point::kInputHActive, Point::kInputPixelClockKhz,
          Point::kPanelLinkEnabled, Point::kPanelLinkPixelClockKhz, Point::kPanelLinkPllLocked}) {
      CAPTURE(static_cast<int>(asleep));
      CHECK(says(unit, asleep, Unread::kAsleep));
    }
    // What stands ahead of the switches is measured also now: a wrong rail shows before a panel meets it.
    CHECK(number(unit, Point::kRailsPanelSelectedMv) == 5'000);
    CHECK(number(unit, Point::kRailsLightOutMv) == 12'000);
    CHECK(number(unit, Point::kPanelLinkMapping) == 2);
    CHECK(unit.circuit().levels().panel_mv == 0);
  }

  TEST_CASE("a source beyond the input's pixel clock has a cable and no lock") {
    auto setup = elm_setup();
    setup.source->pixel_clock = {165'000'001};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kInputCable) == 1);
    CHECK(number(unit, Point::kInputLocked) == 0);
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kNoSignal));

    setup.source->pixel_clock = {165'000'000};
    Unit within{setup};
    live(within, milliseconds(10'000));
    CHECK(number(within, Point::kInputLocked) == 1);
  }

  TEST_CASE("the limit is the selected input's own") {
    auto setup = elm_setup();
    setup.settings.input = 1;  // 110 MHz at most
    setup.source->pixel_clock = {120'000'000};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kInputSelected) == 1);
    CHECK(number(unit, Point::kInputLocked) == 0);
  }

  TEST_CASE(
      "a source pulled out takes light, link and panel away in that order, and back it comes after a rest") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(1));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kNoSignal));
    CHECK(number(unit, Point::kPowerLightSwitch) == 0);
    CHECK(unit.firmware().link_enabled());
    live(unit, milliseconds(250));  // 200 ms at least, so 250
    CHECK_FALSE(unit.firmware().link_enabled());
    CHECK(number(unit, Point::kPowerPanelSwitch) == 1);
    live(unit, milliseconds(20));
    CHECK(number(unit, Point::kPowerPanelSwitch) == 0);
    CHECK(std::abs(number(unit, Point::kSequenceLightToNoSignalUs) - 250'000) <= 200);

    unit.connect_source(elm_timing());
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kOn));
    CHECK(number(unit, Point::kPowerReason) == 4);  // source
    CHECK(number(unit, Point::kInputLosses) == 1);
    // At least 800 ms, so 1 s from the switch; the rail falls to 10 % in 5 ms x ln 10 = 11.5 ms and is back
    // at 10 % 0.3 ms after the switch.
    CHECK(std::abs(number(unit, Point::kSequenceRestUs) - 988'800) <= 500);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 280);
  }

  TEST_CASE("a unit told to stay off stands by, with its converters off") {
    auto setup = elm_setup();
    setup.settings.power_on = host::model::PowerOn::kOff;
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPowerState) == state(PowerState::kStandby));
    CHECK(says(unit, Point::kRailsPanelSelectedMv, Unread::kAsleep));
    CHECK(says(unit, Point::kInputLocked, Unread::kAsleep));
    CHECK(number(unit, Point::kRailsLogicOutMv) == 3'300);
    // 3 W / 24 V = 125 mA.
    CHECK(number(unit, Point::kRailsSupplyInMa) == 125);
  }
}
