#include "host/expect/dimming.hpp"

#include <doctest/doctest.h>

using namespace host::expect;

TEST_SUITE("host/expect/dimming") {
  TEST_CASE("resolution is the timer's clock over the frequency") {
    // 48 MHz: 200 Hz 240000 steps (17.9 bits), 1 kHz 48000 (15.6), 20 kHz 2400 (11.2); 72 MHz at 25 kHz 2880
    // (11.5).
    CHECK(pwm_steps({48'000'000}, {200}) == 240'000);
    CHECK(bits_of(240'000) == 17);
    CHECK(bits_of(pwm_steps({48'000'000}, {1000})) == 15);
    CHECK(bits_of(pwm_steps({48'000'000}, {20'000})) == 11);
    CHECK(pwm_steps({72'000'000}, {25'000}) == 2880);
    CHECK(bits_of(1) == 0);
    CHECK(bits_of(0) == 0);
  }

  TEST_CASE("the shortest pulse is the shorter of the high and the low one") {
    CHECK(shortest_pulse_ns({20'000}, {10'000}) == 500);  // 1 % of 50 µs
    CHECK(shortest_pulse_ns({20'000}, {990'000}) == 500);
    CHECK(shortest_pulse_ns({200}, {500'000}) == 2'500'000);
    CHECK(shortest_pulse_ns({200}, {0}) == 0);  // no edges
  }

  TEST_CASE("a beat is the distance to the nearest multiple of the refresh rate") {
    CHECK(beat({240}, {60'000}).count == 0);
    CHECK(beat({240}, {60'445}).count == 1'780);   // 4 x 60.445 = 241.78
    CHECK(beat({200}, {59'910}).count == 20'270);  // 3 x 59.91 = 179.73
    CHECK(beat({230}, {60'000}).count == 10'000);
    CHECK(beat({50}, {60'000}).count == 10'000);  // below the rate only the rate itself is near
    CHECK(beat({10}, {60'000}).count == 50'000);
  }

  TEST_CASE("light modulated to zero is low risk from 1250 Hz and without effect above 3000 Hz") {
    CHECK(flicker_region({1249}) == FlickerRegion::kOutside);
    CHECK(flicker_region({1250}) == FlickerRegion::kLowRisk);
    CHECK(flicker_region({3000}) == FlickerRegion::kLowRisk);
    CHECK(flicker_region({3001}) == FlickerRegion::kNoObservableEffect);
  }
}
