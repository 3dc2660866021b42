#include "host/signal/edp.hpp"

#include <doctest/doctest.h>

using namespace host;

TEST_SUITE("host/signal/edp") {
  TEST_CASE("a lane carries pixels with eight of its ten bits") {
    // DisplayPort 1.1a, 1.7.1, by hand: two lanes of 2.7 Gbit/s carry 4.32, three of 1.62 carry 3.888.
    CHECK(signal::payload_kbps(2, 2'700'000) == 4'320'000);
    CHECK(signal::payload_kbps(3, 1'620'000) == 3'888'000);
    CHECK(signal::payload_kbps(1, 8'100'000) == 6'480'000);
  }

  TEST_CASE("1920x1080 at 60 Hz takes two lanes of 2.7 Gbit/s, or four of 1.62 as there are no three") {
    const model::Hertz clock{148'500'000};
    CHECK(signal::pixel_rate_kbps(clock, 24) == 3'564'000);
    CHECK(signal::lanes_needed(clock, 24, 2'700'000) == 2);
    CHECK(signal::lanes_needed(clock, 24, 1'620'000) == 4);
    CHECK(signal::lanes_needed(clock, 24, 5'400'000) == 1);
    CHECK(signal::lane_rate_needed_kbps(clock, 24, 1) == 5'400'000);
    CHECK(signal::lane_rate_needed_kbps(clock, 24, 2) == 2'700'000);
    CHECK(signal::lane_rate_needed_kbps(clock, 24, 4) == 1'620'000);
  }

  TEST_CASE("a link filled to the last bit still carries, one hertz more doesn't") {
    // 2.16 Gbit/s of one lane at 2.7 is 90 MHz of 24 bits.
    CHECK(signal::lanes_needed({90'000'000}, 24, 2'700'000) == 1);
    CHECK(signal::lanes_needed({90'000'001}, 24, 2'700'000) == 2);
  }

  TEST_CASE("what four lanes can't carry has no answer") {
    // 3840x2160 at 60 Hz, 533.25 MHz x 30 bit = 15.9975 Gbit/s; four lanes of 2.7 carry 8.64, of 5.4 17.28.
    CHECK_FALSE(signal::lanes_needed({533'250'000}, 30, 2'700'000));
    CHECK(signal::lanes_needed({533'250'000}, 30, 5'400'000) == 4);
    CHECK_FALSE(signal::lane_rate_needed_kbps({1'200'000'000}, 30, 4));
  }
}
