#include "sim/line/character.hpp"

#include <doctest/doctest.h>

using namespace sim::line;

TEST_SUITE("sim/line/character") {
  TEST_CASE("speed, frame or both are read, and what is left out stays") {
    const CharacterFormat own{115'200, Parity::kEven, 1};
    CHECK(*parse_format("9600", own) == CharacterFormat{9'600, Parity::kEven, 1});
    CHECK(*parse_format("8N2", own) == CharacterFormat{115'200, Parity::kNone, 2});
    CHECK(*parse_format("19200-8O1", own) == CharacterFormat{19'200, Parity::kOdd, 1});
    CHECK(*parse_format("800", own) == CharacterFormat{800, Parity::kEven, 1});
    CHECK(to_text(own) == "115200 Bd 8E1");
  }

  TEST_CASE("what is no line setting is refused with what would be right") {
    for (const char* bad : {"", "fast", "9600-", "-8N1", "8X1", "8N3", "7E1", "0", "49", "4000001",
                            "9600 8N1", "99999999999", "9600-8N11"}) {
      CAPTURE(bad);
      const auto format = parse_format(bad, {});
      REQUIRE_FALSE(format);
      CHECK(format.error().find("9600-8E1") != std::string::npos);
    }
  }

  TEST_CASE("a character has eleven bits with parity or two stop bits, ten with neither") {
    CHECK(CharacterFormat{9'600, Parity::kEven, 1}.bits() == 11);
    CHECK(CharacterFormat{9'600, Parity::kNone, 2}.bits() == 11);
    CHECK(CharacterFormat{9'600, Parity::kNone, 1}.bits() == 10);
  }
}
