#include "tests/sim/unit/fault_bench.hpp"

#include <doctest/doctest.h>

#include "protocol/points/words.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"

namespace tests::sim {

namespace points = protocol::points;
using protocol::base::milliseconds;
using ::sim::unit::Unit;

Expected is(points::Point point, std::int64_t value) {
  return {point, value, value};
}
Expected in(points::Point point, std::int64_t min, std::int64_t max) {
  return {point, min, max};
}
Expected none(points::Point point, points::Unread why) {
  return {point, 0, 0, true, why};
}

::sim::unit::UnitSetup fault_setup(Build build) {
  ::sim::unit::UnitSetup setup = elm_setup();
  host::model::Kit& kit = setup.kit;
  kit.keypad = host::model::Keypad{};
  kit.keypad->keys = 5;
  kit.keypad->voltage = {host::model::Millivolts{4'500}, host::model::Millivolts{5'000},
                         host::model::Millivolts{5'500}};
  if (build == Build::kLamps) kit.panel.backlight.kind = host::model::LightKind::kCcfl;
  if (build == Build::kTwoChannels) {
    kit.panel.link.channels = 2;
    for (host::model::Function& function : kit.board.functions) {
      for (host::model::FunctionRow& row : function.rows) {
        if (auto* raster = std::get_if<host::model::RasterRow>(&row.value)) raster->channels = 2;
      }
    }
  }
  setup.straps = ::sim::unit::healthy_positions(kit).positions;
  setup.shelf.panel = [panel = kit.panel](std::string_view id) -> std::optional<host::model::Panel> {
    if (id != "small") return std::nullopt;
    host::model::Panel small = panel;
    small.signal.raster_columns = {1'024};
    small.signal.raster_lines = {768};
    small.signal.pixel_clock = {host::model::Hertz{60'000'000}, host::model::Hertz{65'000'000},
                                host::model::Hertz{70'000'000}};
    return small;
  };
  setup.shelf.kit = [kit](std::string_view id) -> std::optional<host::model::Kit> {
    if (id != "dim") return std::nullopt;
    host::model::Kit dim = kit;
    dim.settings.brightness = host::model::PartsPerMillion{400'000};
    return dim;
  };
  return setup;
}

void check_consequence(const Consequence& expected) {
  CAPTURE(expected.fault);
  Unit unit{fault_setup(expected.build)};
  const auto fault = ::sim::fault::parse_fault(expected.fault);
  REQUIRE(fault.has_value());
  const auto injected = unit.inject(*fault);
  const std::string why = injected ? std::string{} : injected.error();
  CAPTURE(why);
  REQUIRE(injected.has_value());
  live(unit, milliseconds(10'000));
  if (expected.then) expected.then(unit);
  CHECK(unit.answers() == expected.answers);
  for (const Expected& each : expected.readings) {
    CAPTURE(points::words(each.point).name);
    if (each.unread) {
      CHECK(says(unit, each.point, each.why));
      continue;
    }
    const std::int64_t read = number(unit, each.point);
    CAPTURE(read);
    CHECK(read >= each.min);
    CHECK(read <= each.max);
  }
  REQUIRE(unit.faults().size() == 1);
  CHECK(unit.faults().front().fault == *fault);
  CHECK((unit.faults().front().hits > 0) == expected.counted);
  CHECK(unit.mend(fault->kind).has_value());
  CHECK(unit.faults().empty());
}

}  // namespace tests::sim
