#include "sim/world/random.hpp"

#include <doctest/doctest.h>

using sim::world::noise;
using sim::world::Random;

TEST_SUITE("sim/world/random") {
  TEST_CASE("the stream is SplitMix64's") {
    // The first outputs for seed 1234567 that implementations in several languages give.
    Random random{1234567};
    CHECK(random.next() == 6457827717110365317U);
    CHECK(random.next() == 3203168211198807973U);
    CHECK(random.next() == 9817491932198370423U);
  }

  TEST_CASE("a chance of 0 never comes, one of 1 always does") {
    Random random{7};
    for (int i = 0; i < 1000; ++i) {
      CHECK_FALSE(random.chance(0));
      CHECK(random.chance(1));
    }
  }

  TEST_CASE("noise belongs to its seed, channel and tick, stays inside 1 and has no bias") {
    double sum = 0;
    for (int tick = 0; tick < 10'000; ++tick) {
      const double value = noise(3, 5, tick);
      CHECK(value == noise(3, 5, tick));
      CHECK(value >= -1);
      CHECK(value < 1);
      sum += value;
    }
    // The mean of 10,000 uniform values from -1 to 1 deviates by 0.0058 (one sigma); this is five of them.
    CHECK(sum / 10'000 > -0.03);
    CHECK(sum / 10'000 < 0.03);
    CHECK(noise(3, 5, 0) != noise(4, 5, 0));
    CHECK(noise(3, 5, 0) != noise(3, 6, 0));
    CHECK(noise(3, 5, 0) != noise(3, 5, 1));
  }
}
