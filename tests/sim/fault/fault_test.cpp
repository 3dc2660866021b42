#include "sim/fault/fault.hpp"

#include <set>
#include <string>

#include <doctest/doctest.h>

using namespace sim::fault;  // NOLINT(google-build-using-namespace): the room under test
namespace model = host::model;
using protocol::points::Point;

namespace {

Fault read(const std::string& text) {
  CAPTURE(text);
  const auto fault = parse_fault(text);
  const std::string why = fault.has_value() ? std::string{} : fault.error();
  CAPTURE(why);
  REQUIRE(fault.has_value());
  return *fault;
}

std::string refused(const std::string& text) {
  const auto fault = parse_fault(text);
  CAPTURE(text);
  REQUIRE_FALSE(fault.has_value());
  return fault.error();
}

// An argument of each form that is right.
std::string example(Form form) {
  switch (form) {
    case Form::kNone: return {};
    case Form::kVolts: return "=9.5 V";
    case Form::kMilliamps: return "=0.15 A";
    case Form::kPercent: return "=30 %";
    case Form::kSignedPercent: return "=-5 %";
    case Form::kHertz: return "=90 Hz";
    case Form::kDegrees: return "=85 °C";
    case Form::kPair: return "=2";
    case Form::kPairOrClock: return "=clock";
    case Form::kLevel: return "=low";
    case Form::kTiming: return "=dmt 52h";
    case Form::kColour: return "=ycbcr-422";
    case Form::kKey: return "=2";
    case Form::kStrap: return "=BR1";
    case Form::kPointAndPercent: return "=rails.panel_out_mv,10 %";
    case Form::kPanel: return "=slate";
    case Form::kKit: return "=stop-display";
    case Form::kSerial: return "=9600-8N1";
  }
  return {};
}

}  // namespace

TEST_SUITE("sim/fault") {
  TEST_CASE("every name is its own, says what it does, and reads back as written") {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < kKindCount; ++i) {
      const auto kind = static_cast<Kind>(i);
      const Words& told = words(kind);
      CAPTURE(told.name);
      CHECK(names.insert(told.name).second);
      CHECK(find(told.name) == kind);
      CHECK_FALSE(told.does.empty());
      CHECK(told.argument.empty() == (told.form == Form::kNone));
      const std::string text = std::string{told.name} + example(told.form);
      const Fault fault = read(text);
      CHECK(fault.kind == kind);
      CHECK(to_text(fault) == text);
      CHECK(read(to_text(fault)) == fault);
    }
    CHECK(names.size() == 56);  // as many as the list that people are given
  }

  TEST_CASE("a bare number counts the unit of its argument's name") {
    CHECK(read("supply-low=10").as<model::Millivolts>().count == 10'000);
    CHECK(read("panel-rail-low=3.3").as<model::Millivolts>().count == 3'300);
    CHECK(read("panel-rail-weak=150").as<model::Milliamps>().count == 150);
    CHECK(read("pwm-stuck=30").as<model::PartsPerMillion>().count == 300'000);
    CHECK(read("panel-clock-off=-5").as<model::PartsPerMillion>().count == -50'000);
    CHECK(read("pwm-frequency=90").as<model::Hertz>().count == 90);
    CHECK(read("overheat=85").as<model::Millidegrees>().count == 85'000);
    CHECK(read("overheat=85 C").as<model::Millidegrees>().count == 85'000);
    CHECK(read("overheat=-10").as<model::Millidegrees>().count == -10'000);
  }

  TEST_CASE("arguments keep their kind") {
    CHECK(read("panel-pair-open=clock").as<Pair>() == Pair{0, true});
    CHECK(read("panel-pair-open=5").as<Pair>() == Pair{5, false});
    CHECK(read("keypad-stuck=key-3").as<Key>() == Key{3});
    CHECK(read("backlight-enable-stuck=high").as<Level>() == Level::kHigh);
    CHECK(read("backlight-enable-stuck=1.2 V").as<model::Millivolts>().count == 1'200);
    CHECK(read("colour-space=ycbcr-420").as<ColourForm>() == ColourForm::kYcbcr420);
    CHECK(read("reading-off=rails.light_out_ma,-12.5").as<ReadingError>() ==
          ReadingError{Point::kRailsLightOutMa, {-125'000}});
    // DMT 09h: 800 x 600 at 60 Hz, 40 MHz.
    CHECK(read("source-out-of-range=dmt 09h").as<NamedTiming>().timing.pixel_clock.count == 40'000'000);
  }

  TEST_CASE("what is wrong is said in one sentence, with the nearest name") {
    CHECK(refused("panel-fuse-opne").find("panel-fuse-open") != std::string::npos);
    CHECK(refused("nothing-of-the-kind").find("--help") != std::string::npos);
    CHECK(refused("supply-dead=1").find("takes nothing") != std::string::npos);
    CHECK(refused("supply-low").find("supply-low=V") != std::string::npos);
    CHECK(refused("supply-low=10 A").find("voltage") != std::string::npos);
    CHECK(refused("reading-off=rails.panel_out_mw,10").find("rails.panel_out_m") != std::string::npos);
    CHECK(refused("colour-space=ycbcr-442").find("ycbcr-422") != std::string::npos);
  }

  TEST_CASE("hostile text is refused and never taken for something else") {
    for (const char* text : {"",
                             "=",
                             "=1",
                             "supply-low=",
                             "supply-low=-1",
                             "supply-low=1e9",
                             "supply-low=99999999999999999999",
                             "pwm-stuck=101",
                             "pwm-stuck=-1",
                             "panel-clock-off=--5",
                             "panel-clock-off=200",
                             "keypad-stuck=0",
                             "keypad-stuck=17",
                             "keypad-stuck=1x",
                             "panel-pair-open=-1",
                             "panel-pair-open=64",
                             "panel-pair-open=clocks",
                             "panel-pair-reversed=clock",
                             "backlight-enable-stuck=up",
                             "sense-stuck=",
                             "sense-stuck=B R",
                             "sense-stuck=\x01",
                             "reading-off=",
                             "reading-off=,",
                             "reading-off=rails.panel_out_mv",
                             "reading-off=rails.panel_out_mv,",
                             "overheat=1000",
                             "overheat=C",
                             "overheat=°C",
                             "edid-of=\n",
                             "source-out-of-range=",
                             "source-out-of-range=dmt zz"}) {
      CAPTURE(text);
      CHECK_FALSE(refused(text).empty());
    }
    CHECK_FALSE(refused(std::string(100'000, 'a')).empty());
    CHECK(refused(std::string(100'000, 'a')).size() < 200);
    CHECK_FALSE(refused("edid-of=" + std::string(65, 'a')).empty());
  }
}
