#include <doctest/doctest.h>

#include "sim/unit/registers.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

using protocol::base::milliseconds;
using protocol::points::Point;
using sim::fault::Kind;
using sim::fault::parse_fault;
using sim::unit::Unit;
using tests::sim::Build;
using tests::sim::fault_setup;
using tests::sim::live;
using tests::sim::number;

namespace {

std::string refused(Unit& unit, const char* text) {
  const auto fault = parse_fault(text);
  REQUIRE(fault.has_value());
  const auto done = unit.inject(*fault);
  CAPTURE(text);
  REQUIRE_FALSE(done.has_value());
  CHECK(unit.faults().empty());
  return done.error();
}

void inject(Unit& unit, const char* text) {
  CAPTURE(text);
  const auto done = unit.inject(*parse_fault(text));
  REQUIRE(done.has_value());
}

}  // namespace

TEST_SUITE("sim/unit/inject") {
  TEST_CASE("what can't be in this unit is refused, and why") {
    auto setup = fault_setup();
    setup.kit.keypad.reset();
    setup.kit.board.absent = {Point::kRailsLightOutMa};
    Unit unit{setup};
    CHECK(refused(unit, "lamp-worn").find("LEDs") != std::string::npos);
    CHECK(refused(unit, "keypad-open").find("no keypad") != std::string::npos);
    CHECK(refused(unit, "keypad-stuck=1").find("no keypad") != std::string::npos);
    CHECK(refused(unit, "panel-channels-swapped").find("one channel") != std::string::npos);
    CHECK(refused(unit, "panel-pair-open=4").find("0 to 3") != std::string::npos);  // jeida-24: four pairs
    CHECK(refused(unit, "bridge-doubled=BR2x").find("BR2") != std::string::npos);
    CHECK(refused(unit, "bridge-doubled=S1").find("bank") != std::string::npos);
    CHECK(refused(unit, "bridge-doubled=BR4").find("two pins") != std::string::npos);
    CHECK(refused(unit, "sense-stuck=BR3").find("doesn't sense") != std::string::npos);
    CHECK(refused(unit, "reading-off=rails.light_out_ma,5").find("doesn't measure") != std::string::npos);
    CHECK(refused(unit, "reading-off=identity.serial,5").find("isn't measured") != std::string::npos);
    CHECK(refused(unit, "edid-of=nothing").find("no panel") != std::string::npos);
    CHECK(refused(unit, "settings-of=nothing").find("no kit") != std::string::npos);
    auto lamps = fault_setup(Build::kLamps);
    lamps.kit.video.input = "vga-1";
    Unit other{lamps};
    CHECK(refused(other, "backlight-string-open").find("lamps") != std::string::npos);
    CHECK(refused(other, "hotplug-low").find("vga") != std::string::npos);
    CHECK(refused(other, "source-protected").find("vga") != std::string::npos);
    CHECK(refused(other, "colour-space=ycbcr-444").find("rgb only") != std::string::npos);
    CHECK(other.mend(Kind::kSupplyDead).error().find("isn't in this unit") != std::string::npos);
  }

  TEST_CASE("a fault can come while the unit runs, and go again") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsPanelOutMv) == 4'993);
    inject(unit, "panel-fuse-open");
    live(unit, milliseconds(200));  // 5 V falls to nothing with 5 ms
    CHECK(number(unit, Point::kRailsPanelOutMv) == 0);
    CHECK(unit.mend(Kind::kPanelFuseOpen).has_value());
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kRailsPanelOutMv) == 4'993);

    inject(unit, "no-signal");
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kPowerState) == 2);
    CHECK(number(unit, Point::kInputLosses) == 1);
    CHECK(unit.mend(Kind::kNoSignal).has_value());
    live(unit, milliseconds(3'000));
    CHECK(number(unit, Point::kPowerState) == 4);
  }

  TEST_CASE("faults compose: each acts on what the others leave") {
    Unit unit{fault_setup()};
    // Duty stuck at 50 % and one string of four open: 6 W x 0.5 x 0.75 = 2.25 W, 187.6 mA at 11.995 V.
    inject(unit, "pwm-stuck=50");
    inject(unit, "backlight-string-open");
    // A fuse that is open hides a rail that is low, and the other way round nothing.
    inject(unit, "panel-rail-low=4.2");
    inject(unit, "panel-fuse-open");
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsLightOutMa) == 188);
    CHECK(number(unit, Point::kRailsPanelSelectedMv) == 4'200);
    CHECK(number(unit, Point::kRailsPanelOutMv) == 0);
    CHECK(unit.mend(Kind::kPanelFuseOpen).has_value());
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kRailsPanelOutMv) == 4'200);
    for (const auto& fault : unit.faults()) CHECK(fault.hits > 0);
  }

  TEST_CASE("hotter and covered at once: the lower limit holds and is named") {
    Unit unit{fault_setup()};
    inject(unit, "overheat=85");  // 30 % at most
    inject(unit, "dimmed-by-sensor");
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kBacklightLevelEffectivePermille) == 300);
    CHECK(number(unit, Point::kBacklightLimitedBy) == 1);
  }

  TEST_CASE("what is destroyed stays so when the cause is mended, and truth says it") {
    Unit unit{fault_setup()};
    inject(unit, "bridge-doubled=BR1");
    live(unit, milliseconds(5'000));
    CHECK(unit.truth().damaged == std::vector<std::string>{"panel logic"});
    CHECK(unit.truth().straps.front() == std::pair<std::string, std::string>{"BR1", "2-3+3-4"});
    CHECK(unit.mend(Kind::kBridgeDoubled).has_value());
    live(unit, milliseconds(5'000));
    CHECK(number(unit, Point::kStrapsStrap0) == 0b010);
    CHECK(number(unit, Point::kRailsPanelOutMv) == 5'000);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 0);
    CHECK(unit.truth().damaged == std::vector<std::string>{"panel logic"});
  }

  TEST_CASE("a supply far above the board's range destroys its input") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(5'000));
    unit.set_supply(host::model::Millivolts{30'000});  // its highest
    live(unit, milliseconds(1'000));
    CHECK(unit.answers());
    unit.set_supply(host::model::Millivolts{40'000});
    live(unit, milliseconds(1'000));
    CHECK_FALSE(unit.answers());
    unit.set_supply(std::nullopt);
    live(unit, milliseconds(5'000));
    CHECK_FALSE(unit.answers());
    CHECK(unit.truth().damaged.front() == "board input");
  }

  TEST_CASE("keys switch, dim and choose the input") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(5'000));
    REQUIRE(unit.press(3).has_value());  // 80 % to 70 %
    live(unit, milliseconds(100));
    CHECK(number(unit, Point::kKeypadKeys) == 0b100);
    unit.release();
    live(unit, milliseconds(100));
    CHECK(number(unit, Point::kKeypadKeys) == 0);
    CHECK(number(unit, Point::kSettingsBrightnessPermille) == 700);
    REQUIRE(unit.press(1).has_value());
    unit.release();
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kPowerState) == 1);
    CHECK(number(unit, Point::kPowerReason) == 1);
    REQUIRE(unit.press(1).has_value());
    unit.release();
    live(unit, milliseconds(3'000));
    CHECK(number(unit, Point::kPowerState) == 4);
    REQUIRE(unit.press(4).has_value());
    unit.release();
    live(unit, milliseconds(3'000));
    CHECK(number(unit, Point::kInputSelected) == 1);
    CHECK(number(unit, Point::kPowerState) == 2);
    CHECK_FALSE(unit.press(0).has_value());
    CHECK_FALSE(unit.press(6).has_value());
  }

  TEST_CASE("a scanning unit finds a source that is plugged in elsewhere") {
    auto setup = fault_setup();
    setup.settings.scan = true;
    Unit unit{setup};
    inject(unit, "wrong-input");
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kInputSelected) == 1);
    CHECK(number(unit, Point::kInputLocked) == 1);
    CHECK(number(unit, Point::kPowerState) == 4);
  }

  TEST_CASE("a reset reads the bank again and starts anew") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(5'000));
    unit.move_strap(tests::sim::kS1, {0b0001});
    unit.reset();
    CHECK_FALSE(unit.answers());
    live(unit, milliseconds(5'000));
    CHECK(unit.answers());
    CHECK(number(unit, Point::kPanelLinkRasterH) == 1'024);
    CHECK(number(unit, Point::kSnapshotBoot) == 2);
    CHECK(number(unit, Point::kSnapshotResetCause) == 2);
    CHECK(number(unit, Point::kSnapshotUptimeS) == 4);
  }
}
