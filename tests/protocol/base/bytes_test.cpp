#include "protocol/base/bytes.hpp"

#include <array>

#include <doctest/doctest.h>

using namespace protocol::base;

TEST_SUITE("protocol/base/bytes") {
  TEST_CASE("words stand high octet first") {
    const std::array<std::uint8_t, 4> octets{0x00, 0x12, 0xFE, 0x00};
    CHECK(read_be16(octets, 1) == 0x12FE);
    std::array<std::uint8_t, 4> written{};
    write_be16(written, 1, 0xBEEF);
    CHECK(written == std::array<std::uint8_t, 4>{0x00, 0xBE, 0xEF, 0x00});
  }

  TEST_CASE("every word comes back as it was written") {
    std::array<std::uint8_t, 2> octets{};
    for (std::uint32_t word = 0; word <= 0xFFFF; ++word) {
      write_be16(octets, 0, static_cast<std::uint16_t>(word));
      if (read_be16(octets, 0) != word) FAIL("word " << word);
    }
  }
}
