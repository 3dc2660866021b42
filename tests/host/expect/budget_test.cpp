#include "host/expect/budget.hpp"

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "tests/host/expect/kit.hpp"
#include "tests/support/run_program.hpp"

using namespace host;

namespace {

expect::Expectation shipped(const char* id) {
  const auto kit = model::load_kit(id, {tests::support::source_path("host/catalog")});
  REQUIRE(kit);
  return tests::expectation_of(*kit);
}

}  // namespace

// Each worked with a pencil from the figures of the files; every part is rounded up to the milliwatt.
TEST_SUITE("host/expect/budget") {
  TEST_CASE("stop-display: three converted loads beside the board") {
    // board 4.2 W; panel 12 V x 0.6 A = 7.2 W, / 0.88 = 8.1819 W; light 18.5 W / 0.88 = 21.0228 W;
    // keypad 5 V x 25 mA = 0.125 W, / 0.88 = 0.1421 W: 4.2 + 8.182 + 21.023 + 0.143 = 33.548 W.
    const auto supply = shipped("stop-display").supply;
    CHECK(supply.power.count == 33'548);
    // 24 V - 5 % = 22.8 V: 33.548 / 22.8 = 1.4714 A.
    CHECK(supply.current.count == 1'472);
    // 33.548 / 0.8 = 41.9 W: 48 W is the next size.
    CHECK(supply.recommended_power.count == 48'000);
  }

  TEST_CASE("cab-display: a light that the supply is handed on to is not converted") {
    const auto kit = model::load_kit("cab-display", {tests::support::source_path("host/catalog")});
    REQUIRE(kit);
    REQUIRE(kit->board.rail(model::RailId::kLight)->origin == model::RailOrigin::kPassedThrough);
    const auto supply = tests::expectation_of(*kit).supply;
    // board 3.1 W; panel 5 V x 0.45 A = 2.25 W, / 0.86 = 2.6163 W; light 6.5 W: 3.1 + 2.617 + 6.5 = 12.217 W.
    CHECK(supply.power.count == 12'217);
    // 12 V - 3 % = 11.64 V: 12.217 / 11.64 = 1.0496 A.
    CHECK(supply.current.count == 1'050);
  }

  TEST_CASE("gate-panel: a keypad of 3.3 V") {
    // board 2.8 W; panel 3.3 V x 0.9 A = 2.97 W, / 0.85 = 3.4942 W; light 9.6 W / 0.85 = 11.2942 W;
    // keypad 3.3 V x 12 mA = 39.6 mW, / 0.85 = 47.1 mW: 2.8 + 3.495 + 11.295 + 0.048 = 17.638 W.
    const auto supply = shipped("gate-panel").supply;
    CHECK(supply.power.count == 17'638);
    // 17.638 / 0.8 = 22.05 W: 24 W is the next size.
    CHECK(supply.recommended_power.count == 24'000);
  }

  TEST_CASE("the next size sold is loaded to 80 % at most, at a size exactly it is taken") {
    CHECK(expect::recommended_power({9'600}).count == 12'000);
    CHECK(expect::recommended_power({9'601}).count == 18'000);
    CHECK(expect::recommended_power({120'000}).count == 150'000);
    CHECK(expect::recommended_power({120'001}).count ==
          150'002);  // beyond the sizes: 150.00125 W, rounded up
  }
}
