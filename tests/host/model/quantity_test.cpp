#include "host/model/quantity.hpp"

#include <cstdint>
#include <optional>
#include <string>

#include <doctest/doctest.h>

#include "host/model/quantity_text.hpp"

namespace host::model {
namespace {

using Limits = Bounds<std::int64_t>;

template <typename Q>
Parsed<Limits> limits(std::string_view text) {
  return parse_limits(text, unit_words<typename UnitOf<Q>::Type>());
}

Limits of(std::optional<std::int64_t> min, std::optional<std::int64_t> nominal,
          std::optional<std::int64_t> max) {
  return {min, nominal, max};
}

template <typename Q>
std::string error(std::string_view text) {
  const auto value = parse<Q>(text);
  return value ? "" : value.error();
}

}  // namespace
}  // namespace host::model

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("a quantity becomes a whole number of its own unit") {
    CHECK(parse<Millivolts>("3.3 V")->count == 3300);
    CHECK(parse<Millivolts>("3.300 V")->count == 3300);
    CHECK(parse<Millivolts>("50 mV")->count == 50);
    CHECK(parse<Millivolts>(" 12V ")->count == 12000);
    CHECK(parse<Milliamps>("0.25 A")->count == 250);
    CHECK(parse<Milliwatts>("18.5 W")->count == 18500);
    CHECK(parse<Milliwatts>("1.2 kW")->count == 1'200'000);
    CHECK(parse<Milliohms>("0.2 Ω")->count == 200);
    CHECK(parse<Hertz>("148.5 MHz")->count == 148'500'000);
    CHECK(parse<Hertz>("31.5 kHz")->count == 31'500);
    CHECK(parse<Hertz>("1.62 GHz")->count == 1'620'000'000);
    CHECK(parse<Millihertz>("59.94 Hz")->count == 59'940);
    CHECK(parse<Microseconds>("0.5 ms")->count == 500);
    CHECK(parse<Microseconds>("2 s")->count == 2'000'000);
    CHECK(parse<Microseconds>("7 µs")->count == 7);
    CHECK(parse<Microseconds>("7 us")->count == 7);
    CHECK(parse<Micrometres>("130.95 mm")->count == 130'950);
    CHECK(parse<PartsPerMillion>("80 %")->count == 800'000);
    CHECK(parse<PartsPerMillion>("0.0001 %")->count == 1);
    CHECK(parse<PartsPerMillion>("50 ppm")->count == 50);
    CHECK(parse<Millidegrees>("-20.5 °C")->count == -20'500);
    CHECK(parse<Pixels>("1920")->count == 1920);
    CHECK(parse<Millivolts>("0 V")->count == 0);
  }

  TEST_CASE("a decimal that binary fractions can't hold is exact") {
    CHECK(parse<Millivolts>("0.001 V")->count == 1);
    CHECK(parse<Hertz>("25.175 MHz")->count == 25'175'000);
    CHECK(parse<Hertz>("99.999999 MHz")->count == 99'999'999);
    CHECK(parse<Millihertz>("59.999 Hz")->count == 59'999);
  }

  TEST_CASE("another unit is refused, with an example of the right one") {
    CHECK(error<Millivolts>("5 A") == "expects a voltage such as '5 V', got '5 A'");
    CHECK(limits<Millivolts>("5 A").error() == "expects a voltage such as '5 V ±5 %', got '5 A'");
    for (const char* text :
         {"5",    "V",     "",       " ",    "5 v",   "5 MV",   "5 V 6 V", "5 V,", "five V", "5,5 V",  ".5 V",
          "5. V", "1e3 V", "0x10 V", "+5 V", "- 5 V", "5  V x", "∞ V",     "5 V±", "--5 V",  "5.5.5 V"}) {
      CAPTURE(text);
      CHECK_FALSE(parse<Millivolts>(text).has_value());
    }
    CHECK_FALSE(parse<Hertz>("60 mHz").has_value());
    CHECK_FALSE(parse<Microseconds>("3 min").has_value());
  }

  TEST_CASE("digits finer than the unit resolves are refused, not rounded") {
    CHECK(error<Millivolts>("3.3005 V") == "has more digits than are kept: '3.3005 V' is finer than 1 mV");
    CHECK_FALSE(parse<Pixels>("1920.5").has_value());
    CHECK_FALSE(parse<Hertz>("1.5 Hz").has_value());
    CHECK_FALSE(parse<Microseconds>("0.1 us").has_value());
  }

  TEST_CASE("a count stops at its limit, whatever the unit it is written in") {
    CHECK(parse<Millivolts>("100000000 V")->count == kCountMax);
    CHECK(parse<Millivolts>("100000000000 mV")->count == kCountMax);
    CHECK_FALSE(parse<Millivolts>("100000000.001 V").has_value());
    CHECK_FALSE(parse<Millivolts>("100000000001 mV").has_value());
    CHECK_FALSE(parse<Hertz>("101 GHz").has_value());
    CHECK_FALSE(parse<Hertz>("9223372036854775807 GHz").has_value());
    CHECK_FALSE(parse<Hertz>("18446744073709551617 Hz").has_value());
    CHECK_FALSE(parse<Millivolts>(std::string(5000, '9') + " V").has_value());
    CHECK_FALSE(parse<Millivolts>("0." + std::string(5000, '9') + " V").has_value());
    CHECK(parse<Millivolts>(std::string(200, '0') + "5." + std::string(200, '0') + " V")->count == 5000);
    CHECK_FALSE(limits<Millivolts>("100000000 V ±1 %").has_value());
  }

  TEST_CASE("only a temperature may be negative") {
    CHECK(error<Millivolts>("-5 V") == "can't be negative: '-5 V'");
    CHECK(parse<Millidegrees>("-40 °C").has_value());
    CHECK(limits<Millidegrees>("-20 .. 70 °C").value() == of(-20'000, std::nullopt, 70'000));
    CHECK(limits<Millivolts>("5 V ±6 V").error() == "reaches below zero: '5 V ±6 V'");
  }

  TEST_CASE("limits read as data sheets print them") {
    CHECK(limits<Millivolts>("12 V").value() == of(std::nullopt, 12000, std::nullopt));
    CHECK(limits<Millivolts>("12 V ±10 %").value() == of(10800, 12000, 13200));
    CHECK(limits<Millivolts>("12 V +-10%").value() == of(10800, 12000, 13200));
    CHECK(limits<Millivolts>("5V±250mV").value() == of(4750, 5000, 5250));
    CHECK(limits<Millivolts>("10.8 .. 28 V").value() == of(10800, std::nullopt, 28000));
    CHECK(limits<Hertz>("135 / 148.5 / 160 MHz").value() == of(135'000'000, 148'500'000, 160'000'000));
    CHECK(limits<Hertz>("135 / - / 160 MHz").value() == of(135'000'000, std::nullopt, 160'000'000));
    CHECK(limits<Hertz>("- / 148.5 / - MHz").value() == of(std::nullopt, 148'500'000, std::nullopt));
    CHECK(limits<Microseconds>(">= 200 ms").value() == of(200'000, std::nullopt, std::nullopt));
    CHECK(limits<Microseconds>("<= 50 ms").value() == of(std::nullopt, std::nullopt, 50'000));
    CHECK(limits<Microseconds>("0.5 .. 10 ms").value() == of(500, std::nullopt, 10'000));
    CHECK(limits<PartsPerMillion>("5 .. 100 %").value() == of(50'000, std::nullopt, 1'000'000));
    CHECK(limits<Pixels>("2080 / 2200 / 2400").value() == of(2080, 2200, 2400));
    CHECK(limits<Millivolts>("5 .. 5 V").value() == of(5000, std::nullopt, 5000));
  }

  TEST_CASE("limits that make no sense are refused") {
    for (const char* text :
         {"28 .. 10.8 V",    "1 / 3 / 2 V", "3 / 2 / 4 V", "4 / - / 2 V", "- / - / - V", "1 / 2 V",
          "1 / 2 / 3 / 4 V", "1 .. V",      ".. 2 V",      "1 .. 2",      "1 V .. 2 V",  ">= V",
          ">= 1 V 2",        ">> 1 V",      "12 V ±",      "12 V ±10",    "12 V ±10 A",  "12 V ±10 % 3",
          "12 V ± -1 %",     "12 V ±101 %", "12 ±10 %",    "/ / V",       "- V",         "-",
          "1 .. - V"}) {
      CAPTURE(text);
      CHECK_FALSE(limits<Millivolts>(text).has_value());
    }
    CHECK(limits<Millivolts>("28 .. 10.8 V").error().find("rising") != std::string::npos);
  }

  TEST_CASE("a width either side reads with or without its sign") {
    const UnitWords& share = unit_words<PartPerMillionUnit>();
    CHECK(parse_tolerance("±1.5 %", share).value() == 15'000);
    CHECK(parse_tolerance("1.5 %", share).value() == 15'000);
    CHECK(parse_tolerance("+-1.5 %", share).value() == 15'000);
    CHECK_FALSE(parse_tolerance("±1.5 V", share).has_value());
    CHECK_FALSE(parse_tolerance("±", share).has_value());
  }

  TEST_CASE("two numbers share one unit") {
    const auto size = parse_pair("698.4 x 130.95 mm", 'x', unit_words<MicrometreUnit>());
    CHECK(size.value() == std::pair<std::int64_t, std::int64_t>(698'400, 130'950));
    CHECK(parse_pair("1920x360", 'x', unit_words<PixelUnit>()).value() ==
          std::pair<std::int64_t, std::int64_t>(1920, 360));
    CHECK(parse_pair("41.5, 18.0 mm", ',', unit_words<MicrometreUnit>()).value() ==
          std::pair<std::int64_t, std::int64_t>(41'500, 18'000));
    for (const char* text :
         {"1920", "1920 x", "x 360", "1920 x 360 mm", "1920 by 360", "1920 x 360 x 2", "1920 * 360"}) {
      CAPTURE(text);
      CHECK_FALSE(parse_pair(text, 'x', unit_words<PixelUnit>()).has_value());
    }
    CHECK(parse_pair("1920", 'x', unit_words<PixelUnit>()).error() ==
          "expects two numbers such as '1920 x 360', got '1920'");
  }

  TEST_CASE("a quantity is printed exactly, and reads back as itself") {
    CHECK(to_text(Millivolts{3300}) == "3.3 V");
    CHECK(to_text(Millivolts{12000}) == "12 V");
    CHECK(to_text(Millivolts{50}) == "50 mV");
    CHECK(to_text(Millivolts{0}) == "0 V");
    CHECK(to_text(Hertz{148'500'000}) == "148.5 MHz");
    CHECK(to_text(Hertz{200}) == "200 Hz");
    CHECK(to_text(Microseconds{200'000}) == "200 ms");
    CHECK(to_text(PartsPerMillion{15'000}) == "1.5 %");
    CHECK(to_text(PartsPerMillion{7}) == "7 ppm");
    CHECK(to_text(Pixels{1920}) == "1920");
    CHECK(to_text(Millidegrees{-20'500}) == "-20.5 °C");
    for (std::int64_t count = 0; count < 3'000'000; count += count < 2000 ? 1 : 9973) {
      CAPTURE(count);
      REQUIRE(parse<Millivolts>(to_text(Millivolts{count}))->count == count);
      REQUIRE(parse<Hertz>(to_text(Hertz{count * 997}))->count == count * 997);
      REQUIRE(parse<Microseconds>(to_text(Microseconds{count}))->count == count);
      REQUIRE(parse<PartsPerMillion>(to_text(PartsPerMillion{count}))->count == count);
      REQUIRE(parse<Micrometres>(to_text(Micrometres{count}))->count == count);
    }
  }

  TEST_CASE("a share is rounded to the nearest") {
    CHECK(share_of(Millivolts{5000}, {30'000}).count == 150);
    CHECK(share_of(Millivolts{3300}, {15'000}).count == 50);  // 49.5
    CHECK(share_of(Millivolts{3}, {100'000}).count == 0);     // 0.3
    CHECK(share_of(Millivolts{kCountMax}, {10'000'000}).count == kCountMax * 10);
  }
}
