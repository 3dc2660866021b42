#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"
#include "tests/sim/eye/seen_bench.hpp"

// What a person sees when the board is wrong, its straps or its line. Brightness of 80 % is a duty of 0.74.

using tests::sim::check_seen;

TEST_SUITE("sim/eye/board_seen") {
  TEST_CASE("settings that aren't the kit's") {
    check_seen({
        {"settings-lost", "picture glaring, always"},  // 100 %: 0.9 / 0.74 = 1.22
        {"settings-of=dim", "picture dim, always"},    // 40 %: 0.42 / 0.74 = 0.57
        {"soft-off", "dark, always"},
    });
  }

  TEST_CASE("a cap that puts 12 V on a 5 V panel destroys it, and the light stays on") {
    check_seen({
        {"bridge-doubled=BR1", "black-lit, always", {"panel logic"}},
        // Who moves a strap looks at what it does: what was before it is before.
        {"strap-moved-live=BR1", "black-lit, always", {"panel logic"}},
    });
  }

  TEST_CASE("what only a reading, the keypad or the line shows is no sight for anyone") {
    check_seen({
        {"sense-stuck=BR1", "picture, always"},                    // the cap is where it should be
        {"reading-off=rails.panel_out_mv,10", "picture, always"},  // the rail is
        {"keypad-open", "picture, always"},    // and the brightness doesn't answer its keys
        {"serial-silent", "picture, always"},  // the line carries no picture
        {"serial-swapped", "picture, always"},
        {"serial-settings=9600-8N1", "picture, always"},
        {"address-clash", "picture, always"},
    });
  }

  TEST_CASE("a key held down for good: what it does it has done once") {
    // Up: 80 to 90 %, 0.82 / 0.74 = 1.11, which nobody calls glaring. Power: off.
    check_seen({{"keypad-stuck=2", "picture, always"}});
  }
}
