#include <doctest/doctest.h>

#include "tests/sim/eye/seen_bench.hpp"

// What a person sees when the source is wrong. This board shows no message of its own: without a source
// it switches the light off (message_seen_test has one that does).

using tests::sim::check_seen;
using tests::sim::seen_setup;

TEST_SUITE("sim/eye/source_seen") {
  TEST_CASE("nothing comes in, or nothing that the receiver can take") {
    check_seen({
        {"no-signal", "dark, always"},
        {"wrong-input", "dark, always"},
        {"hotplug-low", "dark, always"},  // the source sees no display and sleeps
        {"source-out-of-range=cvt 2560 x 1600 @ 60 Hz", "dark, always"},  // 348.5 MHz of 165 MHz
    });
    auto scanning = seen_setup();
    scanning.settings.scan = true;  // then the board goes and finds it
    check_seen({{"wrong-input", "picture, always"}}, scanning);
  }

  TEST_CASE("another raster than the panel's is stretched") {
    check_seen({
        // 4:3 on 16:10: a fifth too wide.
        {"source-out-of-range=dmt 10h", "picture soft squeezed, always"},
        {"edid-of=small", "picture soft squeezed, always"},
        // Without a valid EDID a source sends 640 x 480: 4:3 as well.
        {"edid-corrupt", "picture soft squeezed, always"},
    });
  }

  TEST_CASE("a source that encrypts, and pixels that aren't rgb") {
    check_seen({
        // It finds nobody who could decipher it, and sends black instead.
        {"source-protected", "black-lit, always"},
        {"colour-space=rgb", "picture, always"},
        // Luminance stands in green, the differences in red and blue: grey is (128, grey, 128), pink to
        // green.
        {"colour-space=ycbcr-444", "picture wrong-colours, always"},
        // Red is one difference in even columns, the other in odd ones.
        {"colour-space=ycbcr-422", "picture combed wrong-colours, always"},
        // Two pixels go as one: 640 columns, stretched to 1280 as pairs that are alike.
        {"colour-space=ycbcr-420", "picture doubled soft wrong-colours, always"},
    });
  }
}
