#include "host/verify/foreign_value.hpp"

#include <vector>

#include <doctest/doctest.h>

using host::model::ForeignRegister;
using host::model::RegisterType;
using host::verify::foreign_reading;
using protocol::points::Point;
using protocol::points::Reading;
using Words = std::vector<std::uint16_t>;

namespace {

ForeignRegister of_type(RegisterType type, std::int64_t times = 1, std::int64_t divided_by = 1) {
  ForeignRegister one;
  one.point = Point::kRailsPanelOutMv;
  one.type = type;
  one.times = times;
  one.divided_by = divided_by;
  return one;
}

std::int64_t number(const ForeignRegister& one, const Words& words) {
  const Reading reading = foreign_reading(one, words);
  REQUIRE(reading.kind == Reading::Kind::kNumber);
  return reading.number;
}

}  // namespace

TEST_SUITE("host/verify/foreign_value") {
  TEST_CASE("each type reads as two's complement says, either word first") {
    CHECK(number(of_type(RegisterType::kU16), {0xFFFF}) == 65'535);
    CHECK(number(of_type(RegisterType::kS16), {0xFFFF}) == -1);
    CHECK(number(of_type(RegisterType::kS16), {0x8000}) == -32'768);
    CHECK(number(of_type(RegisterType::kU32), {0x0001, 0x0002}) == 65'538);
    CHECK(number(of_type(RegisterType::kU32), {0xFFFF, 0xFFFF}) == 4'294'967'295);
    CHECK(number(of_type(RegisterType::kS32), {0xFFFF, 0xFFFE}) == -2);
    ForeignRegister low = of_type(RegisterType::kU32);
    low.low_word_first = true;
    CHECK(number(low, {0x0001, 0x0002}) == 131'073);
    low.type = RegisterType::kS32;
    CHECK(number(low, {0x0000, 0x8000}) == -2'147'483'648);
    CHECK(number(of_type(RegisterType::kBit), {1}) == 1);
  }

  TEST_CASE("a scale multiplies and divides, to the nearest either side of zero") {
    CHECK(number(of_type(RegisterType::kU16, 10), {1199}) == 11'990);
    CHECK(number(of_type(RegisterType::kU16, 1, 10), {8124}) == 812);
    CHECK(number(of_type(RegisterType::kU16, 1, 10), {8125}) == 813);
    CHECK(number(of_type(RegisterType::kS16, 1, 10), {0xFFFB}) == -1);  // -0.5
    CHECK(number(of_type(RegisterType::kS16, 1, 10), {0xFFFC}) == 0);   // -0.4
    CHECK(number(of_type(RegisterType::kU16, 5, 2), {3}) == 8);
    // The largest there are: 64 bits hold them.
    CHECK(number(of_type(RegisterType::kU32, 1'000'000), {0xFFFF, 0xFFFF}) == 4'294'967'295'000'000);
  }

  TEST_CASE("a text ends at its first NUL or before the spaces at its end, and may be a number's digits") {
    ForeignRegister one;
    one.point = Point::kIdentitySerial;
    one.type = RegisterType::kText;
    one.length = 3;
    CHECK(foreign_reading(one, Words{0x4D37, 0x2D31, 0x2020}).text() == "M7-1");
    CHECK(foreign_reading(one, Words{0x4D37, 0x0031, 0x4141}).text() == "M7");
    CHECK(foreign_reading(one, Words{0x2020, 0x2020, 0x2020}).text().empty());
    CHECK(foreign_reading(one, Words{0x4D37, 0x2D31, 0x2020}).kind == Reading::Kind::kText);
    ForeignRegister digits;
    digits.point = Point::kIdentitySerial;
    digits.type = RegisterType::kU32;
    CHECK(foreign_reading(digits, Words{0x0041, 0xC5D2}).text() == "4310482");
    one.length = 16;
    CHECK(foreign_reading(one, Words(16, 0x4141)).text() == std::string(32, 'A'));
  }

  TEST_CASE("too few registers are no reading") {
    CHECK(foreign_reading(of_type(RegisterType::kU16), Words{}).kind == Reading::Kind::kUnread);
    CHECK(foreign_reading(of_type(RegisterType::kU32), Words{1}).kind == Reading::Kind::kUnread);
  }
}
