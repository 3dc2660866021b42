#include <doctest/doctest.h>

#include "sim/unit/unit.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using protocol::points::Point;
using protocol::points::Unread;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::kBr1;
using tests::sim::kBr2;
using tests::sim::kBr3;
using tests::sim::kBr4;
using tests::sim::kS1;
using tests::sim::live;
using tests::sim::number;
using tests::sim::says;

TEST_SUITE("sim/unit/wrong_straps") {
  TEST_CASE("12 V destroys a 5 V panel, which then draws nothing, for good") {
    auto setup = elm_setup();
    setup.straps[kBr1] = {0b100};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kStrapsStrap0) == 0b100);
    CHECK(number(unit, Point::kRailsPanelSelectedMv) == 12'000);
    CHECK(number(unit, Point::kRailsPanelOutMv) == 12'000);  // no current, no drop
    CHECK(number(unit, Point::kRailsPanelOutMvMax) == 12'000);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 0);
    CHECK(unit.circuit().panel().damaged());

    unit.move_strap(kBr1, {0b010});
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kRailsPanelOutMv) == 5'000);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 0);
    CHECK(unit.circuit().panel().damaged());
  }

  TEST_CASE("3.3 V does not start a 5 V panel and does it no harm") {
    auto setup = elm_setup();
    setup.straps[kBr1] = {0b001};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsPanelOutMa) == 10);  // a tenth of 100 mA
    CHECK(number(unit, Point::kRailsPanelOutMv) == 3'300);
    CHECK_FALSE(unit.circuit().panel().running());

    unit.move_strap(kBr1, {0b010});
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kRailsPanelOutMa) == 280);
    CHECK(unit.circuit().panel().running());
  }

  TEST_CASE("with no cap the panel rail floats at nothing, and the board does not notice") {
    auto setup = elm_setup();
    setup.straps[kBr1] = {0};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsPanelSelectedMv) == 0);
    CHECK(number(unit, Point::kRailsPanelOutMv) == 0);
    CHECK(says(unit, Point::kRailsPanelOutMvMin, Unread::kAsleep));  // never on
    CHECK(number(unit, Point::kPowerState) == 4);
    CHECK(number(unit, Point::kPowerPanelSwitch) == 1);
  }

  TEST_CASE("two caps tie 3.3 V to 12 V, and the panel gets the higher") {
    auto setup = elm_setup();
    setup.straps[kBr1] = {0b101};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kRailsPanelOutMv) == 12'000);
    CHECK(unit.circuit().panel().damaged());
  }

  TEST_CASE("a raster the panel doesn't take leaves it black, at a clock the scaler makes itself") {
    auto setup = elm_setup();
    setup.straps[kS1] = {0b0001};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPanelLinkRasterH) == 1'024);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 300);
    // 1024 x 768 at 59.910 Hz with reduced blanking: 1184 x 790 x 59.910 = 56.037 MHz, to 0.25 MHz: 56 MHz.
    CHECK(number(unit, Point::kPanelLinkPixelClockKhz) == 56'000);
    CHECK(number(unit, Point::kInputPixelClockKhz) == 71'000);
  }

  TEST_CASE("a raster code that no row has leaves the link off") {
    auto setup = elm_setup();
    setup.straps[kS1] = {0};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPanelLinkEnabled) == 0);
    CHECK(number(unit, Point::kPanelLinkPllLocked) == 0);
    CHECK(says(unit, Point::kPanelLinkRasterH, Unread::kNotFitted));
    CHECK(number(unit, Point::kRailsPanelOutMa) == 100);  // idle
  }

  TEST_CASE("the wrong mapping is sent and drawn all the same: no board can sense false colours") {
    auto setup = elm_setup();
    setup.straps[kBr2] = {0b01};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kPanelLinkMapping) == 1);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 280);
  }

  TEST_CASE("a strap that acts where it stands takes the link with it at once, one read at a reset doesn't") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    REQUIRE(unit.firmware().link()->mapping == host::model::Mapping::kJeida24);
    unit.move_strap(kBr2, {0b01});
    live(unit, milliseconds(1));
    REQUIRE(unit.firmware().link()->mapping == host::model::Mapping::kVesa24);
    unit.move_strap(kBr2, {0b10});
    unit.move_strap(kS1, {0b0001});
    live(unit, milliseconds(1'000));
    REQUIRE(unit.firmware().link()->mapping == host::model::Mapping::kJeida24);
    CHECK(unit.firmware().link()->raster.columns.count == 1'280);
    CHECK(number(unit, Point::kPanelLinkRasterH) == 1'280);
    CHECK(number(unit, Point::kPanelLinkPixelClockKhz) == 71'000);
    unit.reset();
    live(unit, milliseconds(10'000));
    CHECK(unit.firmware().link()->raster.columns.count == 1'024);
    CHECK(number(unit, Point::kPanelLinkPixelClockKhz) == 56'000);
  }

  TEST_CASE("a raster strap that leaves its rows and comes back takes the link off and on") {
    auto setup = elm_setup();
    setup.kit.board.straps[kS1].evidence = host::model::Evidence::kSensed;
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    REQUIRE(number(unit, Point::kPanelLinkEnabled) == 1);
    unit.move_strap(kS1, {0});
    live(unit, milliseconds(100));
    CHECK(number(unit, Point::kPanelLinkEnabled) == 0);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 100);
    unit.move_strap(kS1, {0b0010});
    live(unit, milliseconds(100));
    CHECK(number(unit, Point::kPanelLinkEnabled) == 1);
    CHECK(number(unit, Point::kRailsPanelOutMa) == 280);
  }

  TEST_CASE("the wrong dimming sense turns the duty round, and with it the light") {
    auto setup = elm_setup();
    setup.straps[kBr4] = {1};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    CHECK(number(unit, Point::kBacklightPwmDutyPermille) == 260);  // 1 - 0.74
    CHECK(number(unit, Point::kRailsLightOutMa) == 130);           // 6 W x 0.26 / 12 V
  }

  TEST_CASE("a strap read at reset counts as it stood then, a sensed one as it stands") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    const std::int64_t changes = number(unit, Point::kSnapshotChanges);
    unit.move_strap(kS1, {0b0001});
    unit.move_strap(kBr2, {0b01});
    live(unit, milliseconds(1'000));
    CHECK(number(unit, Point::kStrapsStrap2) == 0b0010);
    CHECK(number(unit, Point::kPanelLinkRasterH) == 1'280);
    CHECK(number(unit, Point::kStrapsStrap1) == 0b01);
    CHECK(number(unit, Point::kPanelLinkMapping) == 1);
    CHECK(number(unit, Point::kSnapshotChanges) == changes + 1);
  }

  TEST_CASE("a strap without a sense pin reads as not fitted, wherever it stands") {
    auto setup = elm_setup();
    setup.straps[kBr3] = {1};
    Unit unit{setup};
    live(unit, milliseconds(10'000));
    // Indices 0 to 3 are BR1, BR2, S1, BR4; BR3 has none.
    for (auto strap = Point::kStrapsStrap4; strap <= Point::kStrapsStrap15;
         strap = static_cast<Point>(static_cast<int>(strap) + 1)) {
      CHECK(says(unit, strap, Unread::kNotFitted));
    }
  }
}
