#include <doctest/doctest.h>

#include "tests/sim/eye/seen_bench.hpp"

// What a person sees when the power is wrong. Kit: elm_kit.hpp; the board takes 10 to 30 V, its rails follow
// an input below that in proportion, its logic stops at 0.8 of it. The panel starts from 4.5 V, the light
// from 10.8 V.

using tests::sim::check_seen;
using tests::sim::seen_setup;

TEST_SUITE("sim/eye/power_seen") {
  TEST_CASE("the supply") {
    check_seen({
        {"supply-dead", "dark, always"},
        {"supply-reversed", "dark, always"},  // the input's diode blocks
        // 0.95: 4.75 V and 11.4 V, both loads still inside their windows.
        {"supply-low=9.5 V", "picture, always"},
        // 0.85: 4.25 V and 10.2 V, neither starts.
        {"supply-low=8.5 V", "dark, always"},
        {"supply-low=7 V", "dark, always"},  // the logic doesn't run
    });
  }

  TEST_CASE("the panel's rail: the light has a rail of its own and stays, in front of it nothing moves") {
    check_seen({
        {"panel-fuse-open", "black-lit, always"},
        {"panel-supply-contact-open", "black-lit, always"},
        {"panel-rail-low=4.2 V", "black-lit, always"},
        {"panel-rail-low=4.6 V", "picture, always"},
        // The board notices 0.2 s of it and switches everything off, the light before it has come.
        {"panel-rail-short", "dark, always"},
        {"panel-rail-stays-on", "picture, always"},  // while it is on nobody can tell
    });
    auto white = seen_setup();
    white.kit.panel.glass.unlit = host::model::Unlit::kWhite;
    check_seen({{"panel-fuse-open", "white, always"}, {"panel-supply-contact-open", "white, always"}}, white);
  }
}
