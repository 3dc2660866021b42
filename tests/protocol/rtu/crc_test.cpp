#include "protocol/rtu/crc.hpp"

#include <array>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/rtu/crc_table.hpp"
#include "tests/vectors/modbus_frames.hpp"

using protocol::rtu::crc16;

TEST_SUITE("protocol/rtu/crc") {
  TEST_CASE("the check value is 4B37, the usual one for CRC-16/MODBUS over 123456789") {
    CHECK(crc16(std::array<std::uint8_t, 9>{'1', '2', '3', '4', '5', '6', '7', '8', '9'}) == 0x4B37);
  }

  TEST_CASE("the standard's worked division gives 1241") {
    // MODBUS over Serial Line V1.02, 6.2.2: frame 02 07.
    CHECK(crc16(std::array<std::uint8_t, 2>{0x02, 0x07}) == 0x1241);
  }

  TEST_CASE("over a whole good frame, CRC included, it is 0") {
    const auto frames = tests::vectors::modbus_frames();
    REQUIRE(frames.size() == 109);
    for (const auto& frame : frames) {
      CAPTURE(frame.id);
      CHECK(crc16(frame.octets) == 0);
    }
  }

  TEST_CASE("the small table of a target gives what the large ones give, at every length") {
    std::vector<std::uint8_t> octets;
    for (unsigned i = 0; i < 600; ++i) {
      octets.push_back(static_cast<std::uint8_t>(i * 167 + (i >> 3)));
      CAPTURE(i);
      const std::uint16_t small = protocol::rtu::crc16_by<4>(octets);
      CHECK(protocol::rtu::crc16_by<8>(octets) == small);
      CHECK(protocol::rtu::crc16_by_blocks(octets) == small);
    }
    CHECK(protocol::rtu::crc16_by<4>(std::array<std::uint8_t, 2>{0x02, 0x07}) == 0x1241);
  }

  TEST_CASE("nothing has the initial value") {
    CHECK(crc16({}) == 0xFFFF);
  }
}
