#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "host/model/part_file.hpp"
#include "host/model/source_file.hpp"

namespace {

namespace fs = std::filesystem;
using namespace host::model;

const Catalogue kCatalogue = {"host/catalog"};

std::set<std::string> files_in(const std::string& folder) {
  std::set<std::string> files;
  for (const auto& entry : fs::directory_iterator("host/catalog/" + folder))
    files.insert(entry.path().string());
  return files;
}

template <typename T>
void check_loads(const std::string& folder, Loaded<FromFile<T>> (*read)(const SourceFile&)) {
  for (const std::string& path : files_in(folder)) {
    CAPTURE(path);
    const auto file = read_source(path);
    REQUIRE(file.has_value());
    const auto part = read(*file);
    if (!part) FAIL(to_text(part.error().front()));
  }
}

/// Net at each pin of the connector of this family.
std::map<int, std::string> nets_of(const std::vector<Connector>& connectors, const std::string& family) {
  for (const Connector& connector : connectors) {
    if (connector.family == family) return connector.nets;
  }
  return {};
}

}  // namespace

TEST_SUITE("host/catalog") {
  TEST_CASE("every file that ships loads without errors") {
    check_loads<Panel>("panels", read_panel);
    check_loads<Board>("boards", read_board);
    check_loads<Cable>("cables", read_cable);
    check_loads<Supply>("supplies", read_supply);
    check_loads<Keypad>("keypads", read_keypad);
    CHECK(files_in("panels").size() >= 4);
    CHECK(files_in("boards").size() >= 3);
    for (const std::string& id : kit_ids(kCatalogue)) {
      CAPTURE(id);
      const auto kit = load_kit(id, kCatalogue);
      if (!kit) FAIL(to_text(kit.error().front()));
      CHECK(kit->about.status == Status::kReleased);
    }
    for (const char* id : {"stop-display", "cab-display", "ticket-machine", "platform-sign"}) {
      CHECK(load_kit(id, kCatalogue).has_value());
    }
  }

  TEST_CASE("every file says in its first line that it is invented") {
    for (const char* folder : {"panels", "boards", "cables", "supplies", "keypads", "kits"}) {
      for (const std::string& path : files_in(folder)) {
        CAPTURE(path);
        std::string first;
        std::getline(std::ifstream(path) >> std::ws, first);
        CHECK(first.starts_with("# Invented"));
      }
    }
  }

  TEST_CASE("a kit's cables join equal nets, and leave nothing of the panel's supply and light open") {
    for (const std::string& id : kit_ids(kCatalogue)) {
      CAPTURE(id);
      const auto kit = load_kit(id, kCatalogue);
      REQUIRE(kit.has_value());
      std::set<std::string> reached;
      for (const auto& [designator, cable] : kit->cables) {
        CAPTURE(designator);
        const auto from = nets_of(kit->board.connectors, cable.board_family);
        const auto to = nets_of(kit->panel.connectors, cable.far_family);
        REQUIRE(!from.empty());
        const bool keypad = kit->keypad && kit->keypad->connector == cable.far_family;
        REQUIRE((keypad || !to.empty()));
        for (const Cable::Wire& wire : cable.wires) {
          CAPTURE(wire.board_pin);
          REQUIRE(from.contains(wire.board_pin));
          if (keypad) continue;
          REQUIRE(to.contains(wire.far_pin));
          CHECK(from.at(wire.board_pin) == to.at(wire.far_pin));
          reached.insert(to.at(wire.far_pin));
        }
      }
      for (const char* net : {"VPANEL", "GND", "VLIGHT", "LIGHT_EN", "PWM", "ACLK-", "ACLK+", "A0-", "A2+"}) {
        CAPTURE(net);
        CHECK(reached.contains(net));
      }
      CHECK(reached.contains("BCLK+") == (kit->panel.link.channels == 2));
      CHECK(reached.contains("A3+") == (bits_per_pixel(kit->panel.link.mapping) > 18));
    }
  }

  TEST_CASE("each kit's board has a row for what its panel needs") {
    for (const std::string& id : kit_ids(kCatalogue)) {
      CAPTURE(id);
      const auto kit = load_kit(id, kCatalogue);
      REQUIRE(kit.has_value());
      const Panel& panel = kit->panel;
      const auto any_row = [&](FunctionId function, auto fits) {
        const Function* found = kit->board.function(function);
        return found == nullptr || std::any_of(found->rows.begin(), found->rows.end(),
                                               [&](const FunctionRow& row) { return fits(row.value); });
      };
      const auto equals = [](FunctionValue wanted) {
        return [wanted](const FunctionValue& value) { return value == wanted; };
      };
      CHECK(any_row(FunctionId::kPanelSupply, [&](const FunctionValue& value) {
        return panel.supply.voltage.contains(std::get<Millivolts>(value));
      }));
      CHECK(any_row(FunctionId::kLightSupply, [&](const FunctionValue& value) {
        return panel.backlight.supply.contains(std::get<Millivolts>(value));
      }));
      CHECK(any_row(FunctionId::kBitMapping, equals(panel.link.mapping)));
      CHECK(any_row(FunctionId::kDimmingSense, equals(panel.backlight.dimming.sense)));
      CHECK(any_row(FunctionId::kRasterRow, equals(RasterRow{.columns = panel.signal.raster_columns,
                                                             .lines = panel.signal.raster_lines,
                                                             .channels = panel.link.channels,
                                                             .bits = bits_per_pixel(panel.link.mapping)})));
    }
  }

  TEST_CASE("the kits' panels and boards differ in what can go wrong") {
    std::set<Mapping> mappings;
    std::set<DimmingSense> senses;
    std::set<std::int64_t> supplies;
    std::set<std::string> boards;
    for (const std::string& id : kit_ids(kCatalogue)) {
      const auto kit = load_kit(id, kCatalogue);
      REQUIRE(kit.has_value());
      mappings.insert(kit->panel.link.mapping);
      senses.insert(kit->panel.backlight.dimming.sense);
      supplies.insert(kit->panel.supply.voltage.nominal->count);
      boards.insert(kit->board.about.id);
    }
    CHECK(mappings.size() == 3);
    CHECK(senses.size() == 2);
    CHECK(supplies == std::set<std::int64_t>{3300, 5000, 12000});
    CHECK(boards.size() == 4);
  }
}
