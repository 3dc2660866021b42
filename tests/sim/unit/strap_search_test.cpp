#include "sim/unit/strap_search.hpp"

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"

using host::model::Millivolts;
using sim::unit::Healthy;
using sim::unit::healthy_positions;
using sim::unit::Positions;
using tests::sim::elm_kit;
using tests::sim::kBr1;

TEST_SUITE("sim/unit/strap_search") {
  TEST_CASE("a unit built right stands as the panel's figures ask") {
    // 5 V is 2-3 of BR1; jeida-24 is 2-3 of BR2; 1280 x 800 is 01xx, way 2 on; no keypad, so BR3 is open;
    // high is brighter, so BR4 is open.
    const Healthy healthy = healthy_positions(elm_kit());
    CHECK(healthy.unmet.empty());
    CHECK(healthy.positions == Positions{{2}, {2}, {2}, {0}, {0}});
  }

  TEST_CASE("of two rails inside the panel's window it takes the one nearer the middle") {
    host::model::Kit kit = elm_kit();
    kit.panel.supply.voltage = {
        Millivolts{3'000}, {}, Millivolts{6'000}};  // middle 4.5 V: 5 V is nearer than 3.3 V
    CHECK(healthy_positions(kit).positions[kBr1].bits == 2);
    kit.panel.supply.voltage = {Millivolts{3'000}, {}, Millivolts{5'000}};  // middle 4.0 V: 3.3 V is nearer
    CHECK(healthy_positions(kit).positions[kBr1].bits == 1);
  }

  TEST_CASE("a panel that no row suits is named, and the other functions are met all the same") {
    host::model::Kit kit = elm_kit();
    kit.panel.supply.voltage = {Millivolts{8'000}, {}, Millivolts{9'000}};
    const Healthy healthy = healthy_positions(kit);
    REQUIRE(healthy.unmet.size() == 1);
    CHECK(healthy.unmet[0].starts_with("panel-supply"));
    CHECK(healthy.positions == Positions{{0}, {2}, {2}, {0}, {0}});
  }

  TEST_CASE("when the best value would block another function, the next best is taken") {
    host::model::Kit kit = elm_kit();
    kit.panel.supply.voltage = {Millivolts{3'000}, Millivolts{5'000}, Millivolts{5'500}};
    // The sense this panel has is now only to be had with BR1 on 1-2, which selects 3.3 V.
    kit.board.functions[4].rows[0].settings.push_back({kBr1, {{7, 1}}});
    const Healthy healthy = healthy_positions(kit);
    CHECK(healthy.unmet.empty());
    CHECK(healthy.positions[kBr1].bits == 1);
  }
}
