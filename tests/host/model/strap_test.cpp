#include "host/model/strap.hpp"

#include <set>
#include <string>

#include <doctest/doctest.h>

namespace host::model {
namespace {

Strap jumper(std::uint16_t pins) {
  Strap strap;
  strap.id = "BR2";
  strap.count = pins;
  return strap;
}

Strap bank(std::uint16_t ways) {
  Strap strap;
  strap.id = "S1";
  strap.kind = StrapKind::kSwitches;
  strap.count = ways;
  return strap;
}

std::vector<std::string> texts(const Strap& strap) {
  std::vector<std::string> all;
  for (const Position position : positions(strap)) all.push_back(to_text(strap, position));
  return all;
}

}  // namespace
}  // namespace host::model

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("a jumper's positions are those where no pin carries two caps") {
    CHECK(texts(jumper(2)) == std::vector<std::string>{"open", "1-2"});
    CHECK(texts(jumper(3)) == std::vector<std::string>{"open", "1-2", "2-3"});
    CHECK(texts(jumper(4)) == std::vector<std::string>{"open", "1-2", "2-3", "3-4", "1-2+3-4"});
    CHECK(texts(bank(2)) == std::vector<std::string>{"00", "10", "01", "11"});
  }

  TEST_CASE("a jumper's bit n is pins n+1 and n+2 joined, a bank's bit n is way n+1") {
    CHECK(to_text(jumper(4), Position{0b101}) == "1-2+3-4");
    CHECK(to_text(jumper(4), Position{0b010}) == "2-3");
    CHECK(to_text(bank(6), Position{0b001001}) == "100100");
    CHECK(parse_position(jumper(4), "3-4")->bits == 0b100);
    CHECK(parse_position(bank(6), "100100")->bits == 0b001001);
    // What a board could only report with two caps on one pin still has a text.
    CHECK(to_text(jumper(3), Position{0b11}) == "1-2+2-3");
  }

  TEST_CASE("the text of every position reads back as that position") {
    for (std::uint16_t count = 2; count <= 13; ++count) {
      for (const Strap& strap : {jumper(count), bank(static_cast<std::uint16_t>(count - 1))}) {
        std::set<std::string> seen;
        for (const Position position : positions(strap)) {
          const std::string text = to_text(strap, position);
          CAPTURE(text);
          REQUIRE(seen.insert(text).second);
          REQUIRE(parse_position(strap, text).has_value());
          REQUIRE(parse_position(strap, text)->bits == position.bits);
          REQUIRE(parse_pattern(strap, text)->matches(position));
        }
      }
    }
    CHECK(positions(jumper(13)).size() == 377);  // Fibonacci: no two neighbouring bits of 12
    CHECK(positions(bank(12)).size() == 4096);
  }

  TEST_CASE("an x in a bank's pattern matches either, and nothing else does") {
    const Strap strap = bank(4);
    const auto pattern = parse_pattern(strap, "1x0x");
    REQUIRE(pattern.has_value());
    CHECK(to_text(strap, *pattern) == "1x0x");
    std::set<std::string> matched;
    for (const Position position : positions(strap)) {
      if (pattern->matches(position)) matched.insert(to_text(strap, position));
    }
    CHECK(matched == std::set<std::string>{"1000", "1001", "1100", "1101"});
  }

  TEST_CASE("what is no position is refused, and the sentence says what is one") {
    for (const char* text :
         {"", "1-3", "0-1", "4-5", "1-2+", "+1-2", "1-2+2-3", "3-4+1-2", "1-2+1-2", "1-2 ", "Open", "1", "1-",
          "-2", "01-02", "1-2+3-4+5-6", "99999999999999999999-2", "1x2", "1-2-3"}) {
      CAPTURE(text);
      CHECK_FALSE(parse_position(jumper(4), text).has_value());
    }
    for (const char* text : {"", "100", "10010", "10 1", "open", "1-2", "xxxx", "100y", "10X0"}) {
      CAPTURE(text);
      CHECK_FALSE(parse_position(bank(4), text).has_value());
    }
    CHECK(parse_pattern(jumper(3), "1-3").error() ==
          "'1-3' is no position of BR2, a jumper of 3 pins; write 'open', '1-2', '2-3'");
    CHECK(parse_pattern(bank(4), "10").error() ==
          "'10' is no position of S1; write 4 digits, way 1 first, 1 for on and 0 for off, x for either");
    CHECK(parse_pattern(jumper(4), "1-2+2-3").error().find("two caps on one pin") != std::string::npos);
  }
}
