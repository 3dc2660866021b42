#include "protocol/rtu/line_timing.hpp"

#include <doctest/doctest.h>

using protocol::base::microseconds;
using protocol::rtu::LineTiming;

TEST_SUITE("protocol/rtu/line_timing") {
  TEST_CASE("t3.5 is three and a half characters up to 19200 Bd and 1.75 ms above") {
    // Computed from the standard's definition: 3.5 x 11 bits / baud, rounded up.
    CHECK(LineTiming{1200, 11}.frame_gap() == microseconds(32'084));
    CHECK(LineTiming{9600, 11}.frame_gap() == microseconds(4'011));
    CHECK(LineTiming{19200, 11}.frame_gap() == microseconds(2'006));
    CHECK(LineTiming{19201, 11}.frame_gap() == microseconds(1'750));
    CHECK(LineTiming{115200, 11}.frame_gap() == microseconds(1'750));
  }

  TEST_CASE("t1.5 is one and a half characters up to 19200 Bd and 750 us above") {
    // 1.5 x 11 bits / baud, rounded up.
    CHECK(LineTiming{1200, 11}.character_gap() == microseconds(13'750));
    CHECK(LineTiming{9600, 11}.character_gap() == microseconds(1'719));
    CHECK(LineTiming{19201, 10}.character_gap() == microseconds(750));
    CHECK(LineTiming{9600, 11}.character_time() == microseconds(1'146));
  }

  TEST_CASE("a read of 125 registers takes 2.41 s at 1200 Bd and 25.1 ms at 115200") {
    CHECK(LineTiming{1200, 11}.wire_time(8 + 255) == microseconds(2'410'834));
    CHECK(LineTiming{115200, 11}.wire_time(8 + 255) == microseconds(25'113));
    CHECK(LineTiming{9600, 10}.wire_time(1) == microseconds(1'042));
    CHECK(LineTiming{9600, 11}.wire_time(0) == microseconds(0));
  }
}
