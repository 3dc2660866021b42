#include <cstdlib>

#include <doctest/doctest.h>

#include "sim/unit/unit.hpp"
#include "tests/sim/elm_kit.hpp"

// A board that says for five seconds that it has no source. By hand: logic after 2 ms, boot 50 ms, search 1
// s, rail 3 + 25 ms, light 250 ms: panel on at 1.052 s, link at 1.080 s, light at 1.330 s, dark at 6.330 s.

using protocol::base::milliseconds;
using protocol::points::Point;
using protocol::points::Unread;
using sim::unit::PowerState;
using sim::unit::Unit;
using sim::unit::UnitSetup;
using tests::sim::elm_setup;
using tests::sim::elm_timing;
using tests::sim::live;
using tests::sim::number;
using tests::sim::says;

namespace {

constexpr std::int64_t kNoSignal = 2, kOn = 4;            // of power.state
constexpr std::int64_t kForNoSource = 3, kForSource = 4;  // of power.reason

UnitSetup talkative(bool with_source) {
  UnitSetup setup = elm_setup();
  setup.kit.board.message_for = host::model::Microseconds{5'000'000};
  if (!with_source) setup.source.reset();
  return setup;
}

bool message_stands(const Unit& unit) {
  return number(unit, Point::kPowerState) == kNoSignal && number(unit, Point::kPowerPanelSwitch) == 1 &&
         number(unit, Point::kPowerLightSwitch) == 1 &&
         unit.circuit().video() == sim::unit::Video::kMessage && unit.circuit().light().lit();
}

bool dark(const Unit& unit) {
  return number(unit, Point::kPowerState) == kNoSignal && number(unit, Point::kPowerPanelSwitch) == 0 &&
         number(unit, Point::kPowerLightSwitch) == 0 && unit.circuit().video() == sim::unit::Video::kNone &&
         says(unit, Point::kRailsPanelOutMv, Unread::kAsleep) &&
         says(unit, Point::kPanelLinkEnabled, Unread::kAsleep);
}

}  // namespace

TEST_SUITE("sim/unit/message") {
  TEST_CASE("after the search the panel comes up in sequence, and goes again when the message has stood") {
    Unit unit{talkative(false)};
    live(unit, milliseconds(1'100));
    CHECK(number(unit, Point::kPowerState) == kNoSignal);
    CHECK(number(unit, Point::kPowerPanelSwitch) == 1);
    CHECK(number(unit, Point::kPowerLightSwitch) == 0);
    CHECK(says(unit, Point::kRailsPanelOutMv, Unread::kAsleep));  // not yet
    live(unit, milliseconds(225));
    CHECK_FALSE(message_stands(unit));
    live(unit, milliseconds(10));
    CHECK(message_stands(unit));
    live(unit, milliseconds(4'990));  // 6.325 s
    CHECK(message_stands(unit));
    live(unit, milliseconds(10));
    CHECK(number(unit, Point::kPowerLightSwitch) == 0);
    CHECK(number(unit, Point::kPowerPanelSwitch) == 1);
    live(unit, milliseconds(300));
    CHECK(dark(unit));
    CHECK(std::abs(number(unit, Point::kSequenceLightToNoSignalUs) - 250'000) <= 200);
    CHECK(std::abs(number(unit, Point::kSequenceSignalToLightUs) - 250'000) <= 200);
    live(unit, milliseconds(60'000));
    CHECK(dark(unit));
  }

  TEST_CASE("while it stands the points say what is so: link and rails on, nothing locked") {
    Unit unit{talkative(false)};
    live(unit, milliseconds(3'000));
    REQUIRE(message_stands(unit));
    CHECK(number(unit, Point::kPowerReason) == kForNoSource);
    CHECK(number(unit, Point::kInputCable) == 0);
    CHECK(number(unit, Point::kInputLocked) == 0);
    CHECK(says(unit, Point::kInputHActive, Unread::kAsleep));
    CHECK(says(unit, Point::kInputPixelClockKhz, Unread::kAsleep));
    CHECK(number(unit, Point::kPanelLinkEnabled) == 1);
    CHECK(number(unit, Point::kPanelLinkPllLocked) == 1);
    CHECK(number(unit, Point::kPanelLinkRasterH) == 1'280);
    CHECK(number(unit, Point::kPanelLinkPixelClockKhz) == 71'000);  // the middle of the panel's 68 .. 74 MHz
    CHECK(number(unit, Point::kRailsPanelOutMa) == 300);            // black
    CHECK(number(unit, Point::kBacklightEnableMv) == 3'300);
    CHECK(number(unit, Point::kBacklightPwmFrequencyHz) == 200);
  }

  TEST_CASE("a source out of range has a cable, no lock, and the message") {
    UnitSetup setup = talkative(true);
    setup.source->pixel_clock = {165'000'001};
    Unit unit{setup};
    live(unit, milliseconds(3'000));
    CHECK(message_stands(unit));
    CHECK(number(unit, Point::kInputCable) == 1);
    CHECK(number(unit, Point::kInputLocked) == 0);
    live(unit, milliseconds(5'000));
    CHECK(dark(unit));
  }

  TEST_CASE("a source pulled out leaves the panel on under the message, then all goes in order") {
    Unit unit{talkative(true)};
    live(unit, milliseconds(10'000));
    REQUIRE(number(unit, Point::kPowerState) == kOn);
    const std::int64_t lowest = number(unit, Point::kRailsPanelOutMvMin);
    const std::int64_t changes = number(unit, Point::kSnapshotChanges);
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(1));
    CHECK(message_stands(unit));
    CHECK(number(unit, Point::kSnapshotChanges) > changes);
    live(unit, milliseconds(4'990));
    CHECK(message_stands(unit));
    CHECK(lowest - number(unit, Point::kRailsPanelOutMvMin) <= 1);  // 0.5 mV more drop at 300 mA of 280
    live(unit, milliseconds(400));
    CHECK(dark(unit));
  }

  TEST_CASE("a source that locks takes over at once, and the next message stands its whole time") {
    Unit unit{talkative(true)};
    live(unit, milliseconds(10'000));
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(3'000));
    unit.connect_source(elm_timing());
    live(unit, milliseconds(149));
    CHECK(message_stands(unit));
    live(unit, milliseconds(2));
    CHECK(number(unit, Point::kPowerState) == kOn);
    CHECK(number(unit, Point::kPowerReason) == kForSource);
    CHECK(unit.circuit().video() == sim::unit::Video::kPicture);
    live(unit, milliseconds(849));  // four seconds after the first loss
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(4'990));
    CHECK(message_stands(unit));
    live(unit, milliseconds(400));
    CHECK(dark(unit));

    unit.connect_source(elm_timing());  // in the dark it comes as ever, after the panel's rest
    live(unit, milliseconds(3'000));
    CHECK(number(unit, Point::kPowerState) == kOn);
    CHECK(number(unit, Point::kSequenceRestUs) > 800'000);
  }

  TEST_CASE("a source that locks before the light finishes the way that has begun") {
    Unit unit{talkative(false)};
    live(unit, milliseconds(1'100));  // the link is on since 1.080 s
    unit.connect_source(elm_timing());
    live(unit, milliseconds(160));
    CHECK(number(unit, Point::kPowerState) == static_cast<std::int64_t>(PowerState::kWaking));
    CHECK(number(unit, Point::kPowerLightSwitch) == 0);
    live(unit, milliseconds(80));
    CHECK(number(unit, Point::kPowerState) == kOn);
    CHECK(std::abs(number(unit, Point::kSequenceSignalToLightUs) - 250'000) <= 200);
    live(unit, milliseconds(20'000));
    CHECK(number(unit, Point::kPowerState) == kOn);
  }

  TEST_CASE("a source lost before the light leaves the way to the message") {
    Unit unit{talkative(true)};
    live(unit, milliseconds(300));  // panel at 0.152 s, light at 0.430 s
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(120));
    CHECK(number(unit, Point::kPowerState) == kNoSignal);
    CHECK_FALSE(message_stands(unit));
    live(unit, milliseconds(20));
    CHECK(message_stands(unit));
    live(unit, milliseconds(5'400));
    CHECK(dark(unit));
  }

  TEST_CASE("a board that scans its inputs goes on scanning under the message") {
    UnitSetup setup = talkative(true);
    setup.settings.scan = true;
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    REQUIRE(number(unit, Point::kPowerState) == kOn);
    unit.connect_source(std::nullopt);
    live(unit, milliseconds(1'500));  // it has gone on to the other input
    CHECK(number(unit, Point::kInputSelected) == 1);
    CHECK(message_stands(unit));
    unit.connect_source(elm_timing());
    live(unit, milliseconds(100));
    CHECK(number(unit, Point::kInputCable) == 0);
    live(unit, milliseconds(600));  // back at 2 s, locked 150 ms later
    CHECK(number(unit, Point::kInputSelected) == 0);
    CHECK(number(unit, Point::kPowerState) == kOn);
  }

  TEST_CASE("reset and loss of supply end a message, and the next start finds its own") {
    Unit unit{talkative(false)};
    live(unit, milliseconds(3'000));
    unit.reset();
    live(unit, milliseconds(500));
    CHECK(number(unit, Point::kPowerPanelSwitch) == 0);
    CHECK(number(unit, Point::kPowerState) == static_cast<std::int64_t>(PowerState::kWaking));
    live(unit, milliseconds(2'500));
    CHECK(message_stands(unit));
    unit.set_supply(host::model::Millivolts{0});
    live(unit, milliseconds(2'000));
    CHECK_FALSE(unit.circuit().light().lit());
    unit.set_supply(std::nullopt);
    live(unit, milliseconds(3'000));
    CHECK(message_stands(unit));
  }
}
