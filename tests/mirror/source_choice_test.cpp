#include <algorithm>
#include <string>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "host/signal/edid_choice.hpp"
#include "sim/fault/fault.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/strap_search.hpp"
#include "sim/unit/unit.hpp"
#include "tests/support/run_program.hpp"

using namespace host;
using protocol::points::Point;

namespace {

// Kits of the catalogue whose panels are of different rasters, and whose inputs are of every kind.
constexpr auto kKits = std::to_array<const char*>(
    {"stop-display", "ticket-machine", "depot-monitor", "control-wall", "cab-display", "platform-sign"});

model::Catalogue shelf() {
  return {tests::support::source_path("host/catalog")};
}

sim::unit::UnitSetup setup_of(const model::Kit& kit) {
  sim::unit::UnitSetup setup{kit,
                             sim::unit::healthy_positions(kit).positions,
                             sim::unit::settings_of(kit),
                             sim::unit::wanted_timing(kit),
                             "T-0001",
                             0};
  setup.shelf.panel = [](std::string_view id) -> std::optional<model::Panel> {
    auto panel = model::load_panel(id, shelf());
    return panel ? std::optional(*std::move(panel)) : std::nullopt;
  };
  return setup;
}

struct Told {
  signal::SourceChoice choice;                 // what host/signal reads from the unit's octets
  std::optional<std::int64_t> columns, lines;  // what the unit says arrives
};

std::optional<std::int64_t> number(const sim::unit::Unit& unit, Point point) {
  const auto value = unit.value(point);
  const auto* count = std::get_if<std::int64_t>(&value);
  return count == nullptr ? std::nullopt : std::optional(*count);
}

Told told(const model::Kit& kit, const std::string& fault) {
  sim::unit::Unit unit{setup_of(kit)};
  if (!fault.empty()) {
    const auto parsed = sim::fault::parse_fault(fault);
    REQUIRE(parsed);
    REQUIRE(unit.inject(*parsed));
  }
  unit.advance(unit.now() + protocol::base::milliseconds(10'000));
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  REQUIRE(input != kit.board.inputs.end());
  const auto interface = input->kind == "hdmi"          ? signal::EdidInterface::kHdmi
                         : input->kind == "displayport" ? signal::EdidInterface::kDisplayPort
                         : input->kind == "vga"         ? signal::EdidInterface::kVga
                                                        : signal::EdidInterface::kDvi;
  const auto index = static_cast<std::size_t>(input - kit.board.inputs.begin());
  return {signal::source_choice(unit.edid(index), interface), number(unit, Point::kInputHActive),
          number(unit, Point::kInputVActive)};
}

}  // namespace

TEST_SUITE("mirror/source_choice") {
  TEST_CASE("from a sound unit's EDID a source chooses what the simulated source sends") {
    for (const char* id : kKits) {
      CAPTURE(id);
      const auto kit = model::load_kit(id, shelf());
      REQUIRE(kit);
      const Told one = told(*kit, "");
      CHECK(one.choice.rule == signal::ChoiceRule::kPreferred);
      CHECK(one.choice.timing == sim::unit::wanted_timing(*kit));
      CHECK(one.columns == one.choice.timing.h_active.count);
      CHECK(one.lines == one.choice.timing.v_active.count);
    }
  }

  TEST_CASE("from a corrupt EDID both come to 640 x 480") {
    for (const char* id : kKits) {
      CAPTURE(id);
      const auto kit = model::load_kit(id, shelf());
      REQUIRE(kit);
      const Told one = told(*kit, "edid-corrupt");
      CHECK(one.choice.rule == signal::ChoiceRule::kDamaged);
      CHECK(one.choice.timing.h_active.count == 640);
      CHECK(one.columns == 640);
      CHECK(one.lines == 480);
    }
  }

  TEST_CASE("an input that answers no EDID holds none, and a source is left with its fallback") {
    const auto kit = model::load_kit("inspector-desk", shelf());
    REQUIRE(kit);
    REQUIRE(kit->board.inputs.at(1).edid == model::EdidOrigin::kNone);
    const sim::unit::Unit unit{setup_of(*kit)};
    CHECK(unit.edid(1).empty());
    CHECK_FALSE(unit.edid(0).empty());
    CHECK(signal::source_choice(unit.edid(1), signal::EdidInterface::kVga).rule ==
          signal::ChoiceRule::kNoEdid);
  }

  TEST_CASE("from another panel's EDID both come to that panel's raster") {
    int arrived = 0;
    for (const char* id : kKits) {
      for (const char* other : {"slate", "granite", "shale"}) {
        CAPTURE(id);
        CAPTURE(other);
        const auto kit = model::load_kit(id, shelf());
        REQUIRE(kit);
        const auto panel = model::load_panel(other, shelf());
        REQUIRE(panel);
        const Told one = told(*kit, std::string("edid-of=") + other);
        CHECK(one.choice.timing.h_active == panel->signal.raster_columns);
        CHECK(one.choice.timing.v_active == panel->signal.raster_lines);
        if (!one.columns) continue;  // the input can't lock on it
        ++arrived;
        CHECK(one.columns == one.choice.timing.h_active.count);
        CHECK(one.lines == one.choice.timing.v_active.count);
      }
    }
    CHECK(arrived >= 12);
  }
}
