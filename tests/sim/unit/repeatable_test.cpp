#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "sim/unit/registers.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::points::Point;
using sim::unit::Unit;
using sim::unit::Value;
using tests::sim::elm_setup;
using tests::sim::live;
using tests::sim::number;

namespace {

// Every point at each 100 ms, on the way to 2 s, the unit being looked at every `step`.
std::vector<Value> trace(std::uint64_t seed, Duration step) {
  auto setup = elm_setup();
  setup.seed = seed;
  Unit unit{setup};
  std::vector<Value> values;
  for (Instant mark = Instant{milliseconds(100)}; mark <= Instant{milliseconds(2'000)};
       mark += milliseconds(100)) {
    while (unit.now() < mark) unit.advance(std::min(mark, unit.now() + step));
    for (std::size_t i = 0; i < protocol::points::kPointCount; ++i)
      values.push_back(unit.value(static_cast<Point>(i)));
  }
  return values;
}

}  // namespace

TEST_SUITE("sim/unit/repeatable") {
  TEST_CASE("the same seed gives the same trace") {
    for (const std::uint64_t seed : {0U, 1U, 77U}) {
      CAPTURE(seed);
      CHECK(trace(seed, milliseconds(100)) == trace(seed, milliseconds(100)));
    }
  }

  TEST_CASE("another seed is another unit") {
    CHECK(trace(1, milliseconds(100)) != trace(2, milliseconds(100)));
  }

  TEST_CASE("readings stay inside the uncertainty the board admits, and differ from unit to unit") {
    // elm: rails 1.5 %, regulators within a tenth of 3 %, supply 1 % and a tenth of 5 %, enable 50 mV.
    std::int64_t lowest = 1'000'000;
    std::int64_t highest = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
      CAPTURE(seed);
      auto setup = elm_setup();
      setup.seed = seed;
      Unit unit{setup};
      live(unit, milliseconds(2'000));
      const std::int64_t panel = number(unit, Point::kRailsPanelOutMv);
      // 4993 mV +- (0.3 % + 1.5 %) = 90 mV.
      CHECK(std::abs(panel - 4'993) <= 90);
      CHECK(std::abs(number(unit, Point::kRailsSupplyInMv) - 23'994) <= 360);
      CHECK(std::abs(number(unit, Point::kBacklightEnableMv) - 3'300) <= 50);
      CHECK(std::abs(number(unit, Point::kBacklightPwmDutyPermille) - 740) <= 5);
      CHECK(std::abs(number(unit, Point::kBacklightPwmFrequencyHz) - 200) <= 1);
      CHECK(number(unit, Point::kRailsPanelOutMvMin) <= panel);
      CHECK(number(unit, Point::kRailsPanelOutMvMax) >= panel);
      lowest = std::min(lowest, panel);
      highest = std::max(highest, panel);
    }
    CHECK(highest - lowest >= 20);
  }
}
