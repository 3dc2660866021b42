#include "sim/unit/foreign_words.hpp"

#include <cstdint>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using host::model::ForeignRegister;
using host::model::RegisterType;
using protocol::points::Unread;
using sim::unit::foreign_words;
using sim::unit::Value;

namespace {

using Words = std::vector<std::uint16_t>;

ForeignRegister place(RegisterType type, std::int64_t times = 1, std::int64_t divided_by = 1) {
  ForeignRegister one;
  one.type = type;
  one.times = times;
  one.divided_by = divided_by;
  return one;
}

Words words(const ForeignRegister& one, std::int64_t value) {
  return foreign_words(one, Value{value});
}

}  // namespace

// Words worked with a pencil from what host/catalog/README.md says of a register: value = register x scale.
TEST_SUITE("sim/unit/foreign_words") {
  TEST_CASE("a register holds the value by its scale, to the nearest") {
    const ForeignRegister tens = place(RegisterType::kU16, 10);
    CHECK(words(tens, 23'964) == Words{2396});
    CHECK(words(tens, 23'965) == Words{2397});
    CHECK(words(tens, 23'966) == Words{2397});
    CHECK(words(place(RegisterType::kU16, 1, 10), 812) == Words{8120});
    CHECK(words(place(RegisterType::kU16, 5, 2), 10) == Words{4});
    CHECK(words(place(RegisterType::kU16, 1'000'000), 499'999) == Words{0});
    CHECK(words(place(RegisterType::kU16, 1'000'000), 500'000) == Words{1});
  }

  TEST_CASE("a negative value stands in two's complement, rounded as its opposite is") {
    CHECK(words(place(RegisterType::kS16), -1) == Words{0xFFFF});
    CHECK(words(place(RegisterType::kS16, 10), -25) == Words{0xFFFD});
    CHECK(words(place(RegisterType::kS16, 10), -24) == Words{0xFFFE});
    CHECK(words(place(RegisterType::kS32), -2) == Words{0xFFFF, 0xFFFE});
  }

  TEST_CASE("32 bits stand high word first, or low word first where the file says so") {
    ForeignRegister one = place(RegisterType::kU32);
    CHECK(words(one, 0x0041'C5D2) == Words{0x0041, 0xC5D2});
    one.low_word_first = true;
    CHECK(words(one, 0x0041'C5D2) == Words{0xC5D2, 0x0041});
    one.type = RegisterType::kS32;
    CHECK(words(one, -2) == Words{0xFFFE, 0xFFFF});
  }

  TEST_CASE("a value beyond what a register holds stays at its end") {
    CHECK(words(place(RegisterType::kU16), 65'535) == Words{0xFFFF});
    CHECK(words(place(RegisterType::kU16), 65'536) == Words{0xFFFF});
    CHECK(words(place(RegisterType::kU16), -1) == Words{0});
    CHECK(words(place(RegisterType::kS16), 32'768) == Words{0x7FFF});
    CHECK(words(place(RegisterType::kS16), -32'769) == Words{0x8000});
    CHECK(words(place(RegisterType::kU32), 4'294'967'296) == Words{0xFFFF, 0xFFFF});
    CHECK(words(place(RegisterType::kU32), -1) == Words{0, 0});
    CHECK(words(place(RegisterType::kS32), 2'147'483'648) == Words{0x7FFF, 0xFFFF});
    CHECK(words(place(RegisterType::kS32), -2'147'483'649) == Words{0x8000, 0x0000});
    CHECK(words(place(RegisterType::kU16, 1, 1'000'000), 4'294'967'295) == Words{0xFFFF});
  }

  TEST_CASE("a bit is set by anything but 0") {
    CHECK(words(place(RegisterType::kBit), 0) == Words{0});
    CHECK(words(place(RegisterType::kBit), 1) == Words{1});
    CHECK(words(place(RegisterType::kBit), 7) == Words{1});
  }

  TEST_CASE("letters stand two a word, the first in the high octet, cut where there is no more room") {
    ForeignRegister one = place(RegisterType::kText);
    one.length = 3;
    CHECK(foreign_words(one, Value{std::string{"7.4"}}) == Words{0x372E, 0x3400, 0});
    CHECK(foreign_words(one, Value{std::string{"ABCDEFGH"}}) == Words{0x4142, 0x4344, 0x4546});
    CHECK(foreign_words(one, Value{std::string{"\xC3\xA9"}}) == Words{0xC3A9, 0, 0});
    CHECK(foreign_words(one, Value{std::string{}}) == Words{0, 0, 0});
  }

  TEST_CASE("a text in the place of a number is the digits at its end") {
    const ForeignRegister one = place(RegisterType::kU32);
    CHECK(foreign_words(one, Value{std::string{"SIM-000017"}}) == Words{0, 17});
    CHECK(foreign_words(one, Value{std::string{"4310482"}}) == Words{0x0041, 0xC5D2});
    CHECK(foreign_words(one, Value{std::string{"12-AB"}}) == Words{0, 0});
    CHECK(foreign_words(one, Value{std::string{}}) == Words{0, 0});
    CHECK(foreign_words(one, Value{std::string(40, '9')}) == Words{0xFFFF, 0xFFFF});
  }

  TEST_CASE("what isn't known reads 0, for there is no word that says so") {
    for (const Unread why : {Unread::kNotFitted, Unread::kAsleep, Unread::kNoEdges}) {
      CHECK(foreign_words(place(RegisterType::kU16, 10), Value{why}) == Words{0});
      CHECK(foreign_words(place(RegisterType::kS32), Value{why}) == Words{0, 0});
      CHECK(foreign_words(place(RegisterType::kBit), Value{why}) == Words{0});
      CHECK(foreign_words(place(RegisterType::kText), Value{why}) == Words{0});
    }
  }
}
