#include "host/verify/foreign_value.hpp"

#include <cstdlib>
#include <string>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/foreign_words.hpp"
#include "sim/unit/strap_search.hpp"
#include "sim/unit/unit.hpp"
#include "tests/support/run_program.hpp"

using host::model::ForeignRegister;
using host::model::RegisterType;
using host::verify::foreign_reading;
using protocol::points::Point;
using protocol::points::Reading;
using sim::unit::foreign_words;
using sim::unit::Value;

namespace {

struct Held {
  RegisterType type;
  std::int64_t min, max;
};
constexpr auto kNumbers = std::to_array<Held>({{RegisterType::kU16, 0, 65'535},
                                               {RegisterType::kS16, -32'768, 32'767},
                                               {RegisterType::kU32, 0, 4'294'967'295},
                                               {RegisterType::kS32, -2'147'483'648, 2'147'483'647}});

std::string text_of(const Reading& reading) {
  return {reading.text_octets.begin(), reading.text_octets.begin() + reading.text_size};
}

}  // namespace

TEST_SUITE("mirror/foreign_value") {
  TEST_CASE(
      "what a simulated board puts into a register is read as what it was, as near as its scale allows") {
    int held = 0;
    int rounded = 0;
    for (const Held& number : kNumbers) {
      for (const std::int64_t times : {1, 2, 5, 10, 1'000, 1'000'000}) {
        for (const std::int64_t divided_by : {1, 3, 10, 100, 1'000'000}) {
          for (const bool low_first : {false, true}) {
            ForeignRegister one;
            one.point = Point::kRailsPanelOutMv;
            one.type = number.type;
            one.times = times;
            one.divided_by = divided_by;
            one.low_word_first = low_first;
            for (std::int64_t value = -70'001; value <= 70'001; value += 1'117) {
              CAPTURE(times);
              CAPTURE(divided_by);
              CAPTURE(value);
              const Reading reading = foreign_reading(one, foreign_words(one, Value{value}));
              REQUIRE(reading.kind == Reading::Kind::kNumber);
              const std::int64_t off = std::abs(reading.number - value);
              if (value * divided_by >= number.min * times && value * divided_by <= number.max * times) {
                // Half a step of the register and half a unit of the point.
                CHECK(2 * off * divided_by <= times + divided_by);
                ++held;
                if (off != 0) ++rounded;
              } else {
                CHECK(off > 0);  // at the register's end
              }
            }
          }
        }
      }
    }
    CHECK(held > 10'000);
    CHECK(rounded > 1'000);
  }

  TEST_CASE("texts are read as they were, and a serial number of digits also from a number") {
    ForeignRegister one;
    one.point = Point::kIdentityModel;
    one.type = RegisterType::kText;
    one.length = 4;
    for (const char* const text : {"", "7", "7.4", "0.1.0", "ABCDEFGH"}) {
      CAPTURE(text);
      CHECK(text_of(foreign_reading(one, foreign_words(one, Value{std::string{text}}))) == text);
    }
    one.point = Point::kIdentitySerial;
    one.type = RegisterType::kU32;
    for (const bool low_first : {false, true}) {
      one.low_word_first = low_first;
      for (const char* const text : {"0", "17", "4310482", "4294967295"}) {
        CAPTURE(text);
        CHECK(text_of(foreign_reading(one, foreign_words(one, Value{std::string{text}}))) == text);
      }
    }
  }

  TEST_CASE("every point of a shipped foreign board comes back from a simulated unit within half a step") {
    const auto kit = host::model::load_kit("control-wall", {tests::support::source_path("host/catalog")});
    REQUIRE(kit);
    sim::unit::Unit unit{{*kit, sim::unit::healthy_positions(*kit).positions, sim::unit::settings_of(*kit),
                          sim::unit::wanted_timing(*kit), "4310482", 0}};
    unit.advance(unit.now() + protocol::base::milliseconds(10'000));
    REQUIRE(kit->board.registers.size() == 24);
    for (const ForeignRegister& one : kit->board.registers) {
      CAPTURE(one.address);
      const Value value = unit.value(one.point);
      const Reading reading = foreign_reading(one, foreign_words(one, value));
      if (const auto* text = std::get_if<std::string>(&value)) {
        CHECK(text_of(reading) == *text);
        continue;
      }
      const auto* number = std::get_if<std::int64_t>(&value);
      REQUIRE(number != nullptr);
      CHECK(2 * std::abs(reading.number - *number) * one.divided_by <= one.times);
    }
  }
}
