#include "tests/sim/eye/seen_bench.hpp"

#include <doctest/doctest.h>

#include "sim/eye/watch.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"

namespace tests::sim {

namespace model = host::model;
using ::sim::unit::Unit;
using ::sim::unit::UnitSetup;

std::string seen_text(const Unit& unit) {
  const ::sim::eye::Seen seen = ::sim::eye::seen(unit);
  std::string text = seen.screen;
  for (const std::string& word : seen.look) text += " " + word;
  return text + ", " + seen.when;
}

UnitSetup seen_setup() {
  UnitSetup setup = elm_setup();
  model::Kit& kit = setup.kit;
  kit.keypad = model::Keypad{};
  kit.keypad->keys = 5;
  kit.keypad->voltage = {model::Millivolts{4'500}, model::Millivolts{5'000}, model::Millivolts{5'500}};
  setup.straps = ::sim::unit::healthy_positions(kit).positions;
  setup.shelf.panel = [panel = kit.panel](std::string_view id) -> std::optional<model::Panel> {
    if (id != "small") return std::nullopt;
    model::Panel small = panel;
    small.signal.raster_columns = {1'024};
    small.signal.raster_lines = {768};
    small.signal.pixel_clock = {model::Hertz{52'000'000}, model::Hertz{56'000'000}, model::Hertz{60'000'000}};
    return small;
  };
  setup.shelf.kit = [kit](std::string_view id) -> std::optional<model::Kit> {
    if (id != "dim") return std::nullopt;
    model::Kit dim = kit;
    dim.settings.brightness = model::PartsPerMillion{400'000};
    return dim;
  };
  return setup;
}

void check_seen(const std::vector<SeenCase>& cases, const UnitSetup& setup) {
  for (const SeenCase& each : cases) {
    CAPTURE(each.fault);
    Unit unit{setup};
    const auto fault = ::sim::fault::parse_fault(each.fault);
    REQUIRE(fault.has_value());
    REQUIRE(unit.inject(*fault).has_value());
    live(unit, protocol::base::milliseconds(10'000));
    CHECK(seen_text(unit) == each.seen);
    CHECK(unit.truth().damaged == each.damaged);
  }
}

}  // namespace tests::sim
