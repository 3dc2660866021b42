#include <algorithm>
#include <set>

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

// Every fault in a unit of the kit that elm_kit.hpp describes, nominal parts, ten seconds after power, and
// what a practitioner would read. The healthy unit: panel 5 V, 280 mA x 25 mOhm = 7 mV less: 4993 mV; light
// duty 0.1 + 0.8 x 0.8 = 74 %, 6 W x 0.74 = 4.44 W, 370 mA at 11991 mV; enable 3300 mV; strap BR1 at 2-3 =
// 010.

using protocol::base::milliseconds;
using protocol::points::Point;
using protocol::points::Unread;
using sim::unit::Unit;
using tests::sim::Build;
using tests::sim::check_consequence;
using tests::sim::Consequence;
using tests::sim::in;
using tests::sim::is;
using tests::sim::live;
using tests::sim::none;
using tests::sim::number;

namespace {

constexpr std::int64_t kNoSignalState = 2, kOnState = 4, kLatchedState = 5;

std::vector<Consequence> supply_and_panel_rail() {
  return {
      // No supply: the board is dead and its line silent.
      {"supply-dead", {}, Build::kUsual, {}, false},
      // The diode blocks: as dead.
      {"supply-reversed", {}, Build::kUsual, {}, false},
      // Below the board's 10 V: its converters lose in proportion, 5 V x 9.48 / 10 = 4.74 V. Loads 1.33 W +
      // 4.44 W at 80 % and 3 W: 10.2 W, 1.08 A, 16 mV less than 9.5 V. One dip since power-up, supply
      // latched.
      {"supply-low=9.5 V",
       {in(Point::kRailsSupplyInMv, 9'480, 9'488), in(Point::kRailsPanelSelectedMv, 4'738, 4'746),
        is(Point::kRailsBrownOuts, 1), is(Point::kFaultsLatched, 0b1)}},
      // Dips at 2.94, 5.94 and 8.94 s to 5 V, longer than 1 mF holds 10 W: three starts more, and the board
      // knows why. It measures no lower than where its logic stops, 0.8 x 10 V, and one step on from there:
      // 10 W out of 1 mF at 8 V take 1.25 V/ms, 0.125 V in a step, more with what is drawn on the way. A
      // start
      // takes longer than the 1.06 s since the last dip; 1.5 s later it is on.
      {"supply-brownout",
       {is(Point::kRailsBrownOuts, 3), is(Point::kSnapshotBoot, 4), is(Point::kSnapshotResetCause, 3),
        in(Point::kRailsSupplyInMvMin, 7'800, 8'000), is(Point::kPowerState, kOnState)},
       Build::kUsual,
       [](::sim::unit::Unit& unit) { tests::sim::live(unit, milliseconds(1'500)); }},
      // The rail is chosen and doesn't come out; the board does not notice.
      {"panel-fuse-open",
       {is(Point::kRailsPanelSelectedMv, 5'000), is(Point::kRailsPanelOutMv, 0),
        is(Point::kRailsPanelOutMa, 0), is(Point::kPowerState, kOnState)}},
      // The switch trips at 3 A and holds 0.9 A into 50 mOhm, 45 mV, until the firmware gives up.
      {"panel-rail-short",
       {is(Point::kPowerState, kLatchedState), is(Point::kPowerReason, 5), is(Point::kFaultsLatched, 0b10),
        is(Point::kRailsPanelOutMvMax, 45), is(Point::kPowerPanelSwitch, 0)}},
      // 4.2 V don't start a panel that wants 4.5: a tenth of its idle current.
      {"panel-rail-low=4.2 V",
       {is(Point::kRailsPanelSelectedMv, 4'200), is(Point::kRailsPanelOutMv, 4'200),
        is(Point::kRailsPanelOutMa, 10)}},
      // Idle's 100 mA it can give, the picture's 280 not: the rail falls until the panel stops at 4.05 V,
      // comes
      // back, and falls again.
      {"panel-rail-weak=150",
       {in(Point::kRailsPanelOutMvMin, 3'900, 4'050), is(Point::kPowerState, kOnState)}},
      // With the picture nothing is odd. Without a source the switch is off and the rail still there, which
      // the
      // board sees.
      {"panel-rail-stays-on",
       {is(Point::kFaultsLatched, 0b10), is(Point::kPowerPanelSwitch, 0)},
       Build::kUsual,
       [](Unit& unit) {
         CHECK(number(unit, Point::kRailsPanelOutMv) == 4'993);
         unit.connect_source(std::nullopt);
         live(unit, milliseconds(3'000));
         CHECK(unit.circuit().levels().panel_mv > 4'900);
       }},
      // The rail stands at the board's pin and nothing draws from it.
      {"panel-supply-contact-open", {is(Point::kRailsPanelOutMv, 5'000), is(Point::kRailsPanelOutMa, 0)}},
  };
}

std::vector<Consequence> panel_and_cable() {
  // What a board can't sense leaves every reading as it was.
  const std::vector<tests::sim::Expected> unseen = {
      is(Point::kRailsPanelOutMv, 4'993), is(Point::kRailsPanelOutMa, 280), is(Point::kPanelLinkPllLocked, 1),
      is(Point::kFaultsLatched, 0), is(Point::kPowerState, kOnState)};
  return {
      {"panel-cable-out",
       {is(Point::kRailsPanelOutMv, 5'000), is(Point::kRailsPanelOutMa, 0),
        is(Point::kRailsLightOutMa, 370)}},
      {"panel-cable-marginal", unseen},
      {"panel-pair-open=2", unseen},
      // No clock: the panel waits, at its idle current.
      {"panel-pair-open=clock", {is(Point::kRailsPanelOutMa, 100), is(Point::kPanelLinkPllLocked, 1)}},
      {"panel-pair-reversed=1", unseen},
      {"panel-channels-swapped", unseen, Build::kTwoChannels},
      // Destroyed: it draws nothing.
      {"panel-logic-dead", {is(Point::kRailsPanelOutMa, 0), is(Point::kRailsPanelOutMv, 5'000)}},
      // Its logic runs, its glass has no voltages: idle.
      {"panel-bias-dead", {is(Point::kRailsPanelOutMa, 100)}},
      {"panel-line-open", unseen},
      // 71 MHz less 8 % = 65.32 MHz, below the panel's 68: it shows black by itself.
      {"panel-clock-off=-8", {is(Point::kPanelLinkPixelClockKhz, 65'320), is(Point::kRailsPanelOutMa, 300)}},
      {"panel-blanking-short", unseen},
      {"scan-direction-reversed", unseen},
  };
}

std::vector<Consequence> light() {
  return {
      // The rail is there, nothing draws: the board's own check of its light latches.
      {"backlight-cable-out",
       {is(Point::kRailsLightOutMv, 12'000), is(Point::kRailsLightOutMa, 0),
        is(Point::kBacklightEnableMv, 3'300), is(Point::kFaultsLatched, 0b100)}},
      {"backlight-supply-open", {is(Point::kRailsLightOutMv, 0), is(Point::kRailsLightOutMa, 0)}},
      // Below the driver's 10.8 V it stays off.
      {"backlight-supply-low=9 V", {is(Point::kRailsLightOutMv, 9'000), is(Point::kRailsLightOutMa, 0)}},
      {"backlight-enable-stuck=low", {is(Point::kBacklightEnableMv, 0), is(Point::kRailsLightOutMa, 0)}},
      // 1.2 V is neither on (2.0 V) nor off (0.8 V): a driver that was off stays off.
      {"backlight-enable-stuck=1.2 V",
       {is(Point::kBacklightEnableMv, 1'200), is(Point::kRailsLightOutMa, 0)}},
      {"enable-polarity-inverted", {is(Point::kBacklightEnableMv, 0), is(Point::kRailsLightOutMa, 0)}},
      // 1 - 0.74 = 26 %; 6 W x 0.26 / 12 V = 130 mA.
      {"dimming-polarity-inverted",
       {is(Point::kBacklightPwmDutyPermille, 260), is(Point::kRailsLightOutMa, 130)}},
      {"backlight-driver-dead",
       {is(Point::kRailsLightOutMa, 0), is(Point::kBacklightEnableMv, 3'300),
        is(Point::kFaultsLatched, 0b100)}},
      // Three strings of four: 4.44 W x 0.75 = 3.33 W, 277.7 mA at 11.993 V.
      {"backlight-string-open", {is(Point::kRailsLightOutMa, 278), is(Point::kFaultsLatched, 0)}},
      // A worn lamp needs a tenth more: 4.884 W, 407.3 mA.
      {"lamp-worn", {is(Point::kRailsLightOutMa, 407)}, Build::kLamps},
      // 6 W x 0.3 = 1.8 W, 150 mA.
      {"pwm-stuck=30", {is(Point::kBacklightPwmDutyPermille, 300), is(Point::kRailsLightOutMa, 150)}},
      // Without edges there is no frequency. 6 W, 500.5 mA at 11.9875 V.
      {"pwm-stuck=100",
       {is(Point::kBacklightPwmDutyPermille, 1'000), none(Point::kBacklightPwmFrequencyHz, Unread::kNoEdges),
        in(Point::kRailsLightOutMa, 500, 501)}},
      {"pwm-frequency=90",
       {is(Point::kBacklightPwmFrequencyHz, 90), is(Point::kBacklightPwmDutyPermille, 740)}},
      // 30 % of brightness: duty 0.1 + 0.8 x 0.3 = 34 %. The board says who limits it.
      {"dimmed-by-sensor",
       {is(Point::kBacklightLevelCommandedPermille, 800), is(Point::kBacklightLevelEffectivePermille, 300),
        is(Point::kBacklightLimitedBy, 2), is(Point::kBacklightPwmDutyPermille, 340)}},
  };
}

std::vector<Consequence> source() {
  return {
      {"no-signal",
       {is(Point::kInputCable, 1), is(Point::kInputLocked, 0), is(Point::kPowerState, kNoSignalState)}},
      {"wrong-input",
       {is(Point::kInputCable, 0), is(Point::kInputLocked, 0), is(Point::kPowerState, kNoSignalState)}},
      {"hotplug-low", {is(Point::kInputHotPlug, 0), is(Point::kInputCable, 1), is(Point::kInputLocked, 0)}},
      // 348.5 MHz, the input takes 165.
      {"source-out-of-range=cvt 2560 x 1600 @ 60 Hz",
       {is(Point::kInputCable, 1), is(Point::kInputLocked, 0)}},
      // The receiver locks; only the content is unreadable, which no point tells.
      {"source-protected",
       {is(Point::kInputLocked, 1), is(Point::kInputHActive, 1'280), is(Point::kPowerState, kOnState)}},
      // A source that can't believe the EDID sends what every display takes; the board scales it up.
      {"edid-corrupt",
       {is(Point::kInputHActive, 640), is(Point::kInputVActive, 480), is(Point::kInputPixelClockKhz, 25'175),
        is(Point::kPanelLinkRasterH, 1'280)}},
      // The other panel's typical clock and raster.
      {"edid-of=small", {is(Point::kInputHActive, 1'024), is(Point::kInputPixelClockKhz, 65'000)}},
      {"colour-space=ycbcr-422", {is(Point::kInputColourForm, 2), is(Point::kInputLocked, 1)}},
  };
}

std::vector<Consequence> board_and_line() {
  return {
      // 1 - 0.7 x (80 - 70) / 15 = 53 % at most, in hundredths.
      {"overheat=80",
       {is(Point::kThermalBoardMdegc, 80'000), is(Point::kBacklightLevelEffectivePermille, 530),
        is(Point::kBacklightLimitedBy, 1)}},
      // From 95 °C on it shuts down.
      {"overheat=100", {is(Point::kPowerState, kLatchedState), is(Point::kFaultsLatched, 0b1000)}},
      {"keypad-open",
       {is(Point::kKeypadPresent, 0), is(Point::kRailsKeypadOutMa, 0), is(Point::kRailsKeypadOutMv, 5'000)}},
      // 5 V over 10 kOhm beside key 2's 2 kOhm: 0.5 + 2.5 mA. Half a minute on, the board calls it stuck.
      {"keypad-stuck=2",
       {is(Point::kKeypadKeys, 0b10), is(Point::kRailsKeypadOutMa, 3), is(Point::kFaultsLatched, 0b100000)},
       Build::kUsual,
       [](Unit& unit) {
         CHECK(number(unit, Point::kFaultsLatched) == 0);
         live(unit, milliseconds(25'000));
       }},
      {"sequence-fast-backlight", {in(Point::kSequenceSignalToLightUs, 4'900, 5'100)}},
      // The sense reads open, the rail says where the cap is.
      {"sense-stuck=BR1", {is(Point::kStrapsStrap0, 0), is(Point::kRailsPanelOutMv, 4'993)}},
      // 2-3 and 3-4: 5 V tied to 12 V, and the panel gets 12 V.
      {"bridge-doubled=BR1",
       {is(Point::kStrapsStrap0, 0b110), is(Point::kRailsPanelSelectedMv, 12'000),
        is(Point::kRailsPanelOutMa, 0)}},
      // From 5 V to the next row, 12 V, after two seconds of picture.
      {"strap-moved-live=BR1",
       {is(Point::kStrapsStrap0, 0b100), is(Point::kRailsPanelOutMvMax, 12'000),
        is(Point::kRailsPanelOutMa, 0)}},
      // 4993 x 1.1: the channel is wrong, the rail is not.
      {"reading-off=rails.panel_out_mv,10",
       {is(Point::kRailsPanelOutMv, 5'492), is(Point::kRailsPanelSelectedMv, 5'000)}},
      // Factory settings: full brightness, duty 90 %.
      {"settings-lost",
       {is(Point::kSettingsBrightnessPermille, 1'000), is(Point::kBacklightPwmDutyPermille, 900),
        is(Point::kFaultsLatched, 0b10000)}},
      // The other kit's 40 %: duty 42 %.
      {"settings-of=dim",
       {is(Point::kSettingsBrightnessPermille, 400), is(Point::kBacklightPwmDutyPermille, 420)}},
      {"soft-off",
       {is(Point::kPowerState, 1), is(Point::kPowerReason, 1),
        none(Point::kRailsPanelOutMv, Unread::kAsleep)}},
      // On the wire, beyond the unit: whoever owns the line applies and counts them.
      {"serial-silent", {is(Point::kPowerState, kOnState)}, Build::kUsual, {}, true, false},
      {"serial-swapped", {is(Point::kPowerState, kOnState)}, Build::kUsual, {}, true, false},
      {"serial-settings=9600-8N1", {is(Point::kPowerState, kOnState)}, Build::kUsual, {}, true, false},
      {"address-clash", {is(Point::kPowerState, kOnState)}, Build::kUsual, {}, true, false},
  };
}

}  // namespace

TEST_SUITE("sim/unit/consequences") {
  TEST_CASE("a fault of the supply or the panel rail reads as a practitioner expects, and says it mattered") {
    for (const Consequence& each : supply_and_panel_rail()) check_consequence(each);
  }
  TEST_CASE("a fault of the panel or its cable shows in the rail's current, or nowhere") {
    for (const Consequence& each : panel_and_cable()) check_consequence(each);
  }
  TEST_CASE("a fault of the light shows at its rail, its enable line or its dimming line") {
    for (const Consequence& each : light()) check_consequence(each);
  }
  TEST_CASE("a fault of the source shows in what the receiver counts") {
    for (const Consequence& each : source()) check_consequence(each);
  }
  TEST_CASE("a fault of the board shows where the board looks at itself; one of the line doesn't") {
    for (const Consequence& each : board_and_line()) check_consequence(each);
  }

  TEST_CASE("no fault is left out") {
    std::set<sim::fault::Kind> seen;
    for (const auto& list :
         {supply_and_panel_rail(), panel_and_cable(), light(), source(), board_and_line()}) {
      for (const Consequence& each : list) seen.insert(sim::fault::parse_fault(each.fault)->kind);
    }
    CHECK(seen.size() == sim::fault::kKindCount);
  }
}
