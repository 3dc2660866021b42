#include "sim/line/noise.hpp"

#include <doctest/doctest.h>

using sim::line::parse_noise;

TEST_SUITE("sim/line/noise") {
  TEST_CASE("every item is read, in any order") {
    const auto noise = parse_noise("echo,drop=0.01,ber=1e-5,delay=20 ms,double=0.5,latency=16 ms");
    REQUIRE(noise);
    CHECK(noise->echo);
    CHECK(noise->drop == 0.01);
    CHECK(noise->bit_errors == 1e-5);
    CHECK(noise->delay == protocol::base::milliseconds(20));
    CHECK(noise->doubled == 0.5);
    CHECK(noise->latency == protocol::base::milliseconds(16));
  }

  TEST_CASE("nothing said is a good line") {
    const auto noise = parse_noise("");
    REQUIRE(noise);
    CHECK_FALSE(noise->echo);
    CHECK(noise->bit_errors == 0);
  }

  TEST_CASE("what can't be read is named") {
    for (const char* bad : {"hum", "ber", "ber=", "ber=2", "drop=-1", "drop=0.1x", "delay=20", "delay=-1 ms",
                            "latency=2 min", "delay=99999999 s", "echo=1", "ber=0.1,,echo"}) {
      CAPTURE(bad);
      const auto noise = parse_noise(bad);
      REQUIRE_FALSE(noise);
      CHECK(noise.error().find("is none of") != std::string::npos);
    }
  }
}
