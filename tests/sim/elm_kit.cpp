#include "tests/sim/elm_kit.hpp"

#include <doctest/doctest.h>

#include "sim/unit/strap_search.hpp"

namespace tests::sim {

using namespace host::model;  // NOLINT(google-build-using-namespace): this file writes a kit out

namespace {

FunctionRow row(FunctionValue value, std::size_t strap, std::vector<Pattern> patterns) {
  return {value, {{strap, std::move(patterns)}}, {}};
}

Strap jumper(const char* id, std::uint16_t pins, Evidence evidence, std::uint16_t index) {
  Strap strap;
  strap.id = id;
  strap.count = pins;
  strap.evidence = evidence;
  strap.index = index;
  return strap;
}

Rail rail(RailId id, std::vector<std::string> places, std::vector<Millivolts> choices) {
  return {id,      std::move(places), std::move(choices), RailOrigin::kRegulated, {30'000}, {2'000},
          {3'000}, {15'000}};
}

Board elm() {
  Board board;
  board.about.id = "elm";
  board.about.title = "Elm, for tests";
  board.own_power = {3'000};
  board.efficiency = {800'000};
  board.input_supply = {{Millivolts{10'000}, {}, Millivolts{30'000}}, {4'000}, {10'000}, "X1"};
  board.rails = {rail(RailId::kLogic, {"out"}, {{3'300}}),
                 rail(RailId::kPanel, {"selected", "out"}, {{3'300}, {5'000}, {12'000}}),
                 rail(RailId::kLight, {"out"}, {{12'000}}), rail(RailId::kKeypad, {"out"}, {{5'000}})};
  board.link = {LinkKind::kLvds, 2, {112'000'000}, {}, {}, "X2"};
  board.light.enable_high = Millivolts{3'300};
  board.light.pwm = {200};
  board.light.pwm_range = {Hertz{100}, {}, Hertz{1'000}};
  board.light.duty_at = {{{0}, {100'000}}, {{1'000'000}, {900'000}}};
  board.light.frequency_uncertainty = {5'000};
  board.light.duty_uncertainty = {5'000};
  board.light.enable_uncertainty = {50};
  board.inputs = {{"hdmi-1", "hdmi", {165'000'000}, "X5"}, {"vga-1", "vga", {110'000'000}, "X6"}};

  Strap bank = jumper("S1", 4, Evidence::kAtReset, 2);
  bank.kind = StrapKind::kSwitches;
  board.straps = {jumper("BR1", 4, Evidence::kSensed, 0), jumper("BR2", 3, Evidence::kSensed, 1), bank,
                  jumper("BR3", 2, Evidence::kUnread, 0), jumper("BR4", 2, Evidence::kSensed, 3)};
  const RasterRow small{{1024}, {768}, 1, 24};
  const RasterRow large{{1280}, {800}, 1, 24};
  board.functions = {
      {FunctionId::kPanelSupply,
       {row(Millivolts{3'300}, kBr1, {{7, 1}}), row(Millivolts{5'000}, kBr1, {{7, 2}}),
        row(Millivolts{12'000}, kBr1, {{7, 4}})},
       {}},
      {FunctionId::kBitMapping,
       {row(Mapping::kVesa24, kBr2, {{3, 1}}), row(Mapping::kJeida24, kBr2, {{3, 2}})},
       {}},
      {FunctionId::kRasterRow, {row(small, kS1, {{3, 1}}), row(large, kS1, {{3, 2}, {3, 3}})}, {}},
      {FunctionId::kKeypadPower, {row(Toggle::kOn, kBr3, {{1, 1}}), row(Toggle::kOff, kBr3, {{1, 0}})}, {}},
      {FunctionId::kDimmingSense,
       {row(DimmingSense::kHighIsBrighter, kBr4, {{1, 0}}),
        row(DimmingSense::kLowIsBrighter, kBr4, {{1, 1}})},
       {}}};
  return board;
}

Panel marl() {
  Panel panel;
  panel.signal.raster_columns = {1280};
  panel.signal.raster_lines = {800};
  panel.signal.pixel_clock = {Hertz{68'000'000}, {}, Hertz{74'000'000}};
  panel.link = {LinkKind::kLvds, 1, {}, Mapping::kJeida24, "panel-30"};
  panel.supply = {{Millivolts{4'500}, Millivolts{5'000}, Millivolts{5'500}},
                  {6'000},
                  {100},
                  {300},
                  {260},
                  {400},
                  {1'500}};
  panel.backlight.supply = {Millivolts{10'800}, Millivolts{12'000}, Millivolts{13'200}};
  panel.backlight.absolute_max = {15'000};
  panel.backlight.power = {6'000};
  panel.backlight.enable = {{2'000}, {800}, {}, OpenEnable::kOff};
  panel.sequence.supply_to_signal = {Microseconds{0}, {}, Microseconds{50'000}};
  panel.sequence.signal_to_light.min = Microseconds{200'000};
  panel.sequence.light_to_no_signal.min = Microseconds{200'000};
  panel.sequence.rest.min = Microseconds{800'000};
  return panel;
}

}  // namespace

Timing elm_timing() {
  return {{71'000'000},        {1280}, {48}, {32}, {80}, {800}, {3}, {6}, {14}, Polarity::kPositive,
          Polarity::kNegative, false};
}

Kit elm_kit() {
  Kit kit;
  kit.about.id = "elm-test";
  kit.panel = marl();
  kit.board = elm();
  kit.supply.voltage = {Millivolts{22'800}, Millivolts{24'000}, Millivolts{25'200}};
  kit.supply.power = {60'000};
  kit.video = {"hdmi-1", elm_timing(), {}};
  kit.settings.brightness = PartsPerMillion{800'000};
  return kit;
}

::sim::unit::UnitSetup elm_setup() {
  const Kit kit = elm_kit();
  return {kit,
          ::sim::unit::healthy_positions(kit).positions,
          ::sim::unit::settings_of(kit),
          elm_timing(),
          "T-0001",
          0};
}

std::int64_t number(const ::sim::unit::Unit& unit, protocol::points::Point point) {
  const ::sim::unit::Value value = unit.value(point);
  REQUIRE(std::holds_alternative<std::int64_t>(value));
  return std::get<std::int64_t>(value);
}

bool says(const ::sim::unit::Unit& unit, protocol::points::Point point, protocol::points::Unread why) {
  const ::sim::unit::Value value = unit.value(point);
  const auto* unread = std::get_if<protocol::points::Unread>(&value);
  return unread != nullptr && *unread == why;
}

void live(::sim::unit::Unit& unit, protocol::base::Duration time) {
  unit.advance(unit.now() + time);
}

}  // namespace tests::sim
