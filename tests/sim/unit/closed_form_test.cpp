#include <cmath>

#include <doctest/doctest.h>

#include "sim/unit/dimming_line.hpp"
#include "sim/unit/supply.hpp"
#include "sim/unit/switched_rail.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

// Ramps and time constants against the formulas they must follow, computed here.

using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::points::Point;
using sim::unit::kStep;
using sim::unit::SwitchedRail;
using sim::unit::Unit;
using sim::unit::Wrongs;
using tests::sim::fault_setup;
using tests::sim::live;
using tests::sim::number;

TEST_SUITE("sim/unit/closed_form") {
  TEST_CASE("a rail rises straight in 3 ms, and its capacitor takes C dV/dt") {
    SwitchedRail rail{900e-6};
    for (int step = 1; step <= 29; ++step) {
      rail.advance({.source_mv = 5'000, .on = true}, kStep);
      CHECK(rail.out_mv() == doctest::Approx(5'000.0 * step / 30));
      CHECK(rail.capacitor_ma() == doctest::Approx(900e-6 * 5'000 / 3e-3));  // 1.5 A, the panel's inrush
    }
    rail.advance({.source_mv = 5'000, .on = true}, kStep);
    rail.advance({.source_mv = 5'000, .on = true}, kStep);
    CHECK(rail.out_mv() == doctest::Approx(5'000));
    CHECK(rail.capacitor_ma() == doctest::Approx(0));
  }

  TEST_CASE("a rail that is off falls with its time constant of 5 ms, or as fast as its load drains it") {
    SwitchedRail rail{900e-6};
    for (int step = 0; step < 100; ++step) rail.advance({.source_mv = 5'000, .on = true}, kStep);
    for (int step = 1; step <= 200; ++step) {
      rail.advance({.source_mv = 5'000}, kStep);
      CHECK(rail.out_mv() == doctest::Approx(5'000 * std::exp(-step * 0.1 / 5)));
    }
    // 1.8 A out of 900 uF: 2 V a millisecond, faster than 5 V / 5 ms.
    SwitchedRail loaded{900e-6};
    for (int step = 0; step < 100; ++step) loaded.advance({.source_mv = 5'000, .on = true}, kStep);
    for (int step = 1; step <= 20; ++step) loaded.advance({.load_ma = 1'800}, kStep);
    CHECK(loaded.out_mv() == doctest::Approx(1'000));
  }

  TEST_CASE("a starved source divides, a short folds back") {
    SwitchedRail rail{900e-6};
    for (int step = 0; step < 500; ++step) {
      rail.advance({.source_mv = 5'000, .on = true, .load_ma = 280, .limit_ma = 140}, kStep);
    }
    CHECK(rail.starved());
    CHECK(rail.out_mv() == doctest::Approx(2'500));
    CHECK(rail.switch_ma() == doctest::Approx(140));
    for (int step = 0; step < 500; ++step) {
      rail.advance({.source_mv = 5'000, .on = true, .short_ohm = 0.05, .trip_ma = 3'000}, kStep);
    }
    CHECK(rail.folded());
    CHECK(rail.out_mv() == doctest::Approx(45));  // 0.3 x 3 A x 50 mOhm
  }

  TEST_CASE("the hold-up capacitor carries the board as long as its energy lasts") {
    auto setup = fault_setup();
    setup.settings.power_on = host::model::PowerOn::kOff;  // 3 W and nothing else
    Unit unit{setup};
    live(unit, milliseconds(1'000));
    unit.set_supply(host::model::Millivolts{0});
    // C (24^2 - 8^2) / 2 P = 1 mF x 512 / 6 W = 85.3 ms until the board's 8 V.
    live(unit, milliseconds(84));
    CHECK(unit.answers());
    const double volts = unit.circuit().levels().supply_mv / 1'000;
    CHECK(volts == doctest::Approx(std::sqrt(24.0 * 24 - 2 * 3 * 0.084 / 1e-3)).epsilon(0.01));
    live(unit, milliseconds(3));
    CHECK_FALSE(unit.answers());
  }

  TEST_CASE("the input stands where constant power and its resistance meet") {
    const auto setup = fault_setup();
    sim::unit::Supply supply{setup.kit, 24'000};
    const Wrongs nothing;
    Instant now{};
    for (int step = 0; step < 1'000; ++step) {
      now += kStep;
      supply.advance(24'000, nothing, now, kStep);
    }
    const double volts = supply.input_mv() / 1'000;
    CHECK(volts * (24 - volts) / 0.015 == doctest::Approx(24));  // V (Vs - V) / R = P
  }

  TEST_CASE("duty times period is the time the line is high") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(5'000));
    const auto& line = unit.circuit().levels().dimming;
    // 74 % of 5 ms.
    CHECK(line.duty / line.hertz == doctest::Approx(3.7e-3));
    CHECK(line.mv == doctest::Approx(0.74 * 3'300));
    CHECK(unit.inject(*sim::fault::parse_fault("pwm-frequency=100")).has_value());
    live(unit, milliseconds(100));
    CHECK(line.duty / line.hertz == doctest::Approx(7.4e-3));
    CHECK(number(unit, Point::kRailsLightOutMa) == 370);  // its mean is the same
  }

  TEST_CASE("a panel dimmed by a voltage gets the board's level, straight between its points") {
    auto setup = fault_setup();
    setup.kit.panel.backlight.dimming = {host::model::DimmingKind::kAnalogue,
                                         host::model::DimmingSense::kHighIsBrighter,
                                         {},
                                         {},
                                         {host::model::Millivolts{0}, {}, host::model::Millivolts{5'000}}};
    setup.kit.board.light.level_at = {{{0}, {500}}, {{1'000'000}, {4'500}}};
    setup.kit.board.light.duty_at.clear();
    Unit unit{setup};
    live(unit, milliseconds(5'000));
    // 0.5 + 0.8 x 4 = 3.7 V of 5: 74 %, 4.44 W.
    CHECK(number(unit, Point::kBacklightDimmingMv) == 3'700);
    CHECK(number(unit, Point::kRailsLightOutMa) == 370);
    CHECK_FALSE(unit.inject(*sim::fault::parse_fault("pwm-stuck=10")).has_value());
  }

  TEST_CASE("a board warms towards 3 K a watt over its surroundings with 300 s") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(300'000));
    // 25 + 9 x (1 - 1/e) = 30.69.
    CHECK(number(unit, Point::kThermalBoardMdegc) ==
          doctest::Approx(25'000 + 9'000 * (1 - std::exp(-1.0))).epsilon(0.001));
    unit.set_ambient({45'000});
    live(unit, milliseconds(3'000'000));
    CHECK(number(unit, Point::kThermalBoardMdegc) == doctest::Approx(54'000).epsilon(0.001));
  }
}
