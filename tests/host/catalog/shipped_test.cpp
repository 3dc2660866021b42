#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>
#include <utility>

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
    CHECK(files_in("panels").size() >= 14);
    CHECK(files_in("boards").size() >= 6);
    CHECK(files_in("kits").size() >= 8);
    for (const std::string& id : kit_ids(kCatalogue)) {
      CAPTURE(id);
      const auto kit = load_kit(id, kCatalogue);
      if (!kit) FAIL(to_text(kit.error().front()));
      const bool sound =
          kit->about.status != Status::kReleased ||
          (kit->panel.about.status == Status::kReleased && kit->board.about.status == Status::kReleased);
      CHECK(sound);
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
      std::set<std::string> needed = {"VPANEL", "GND", "VLIGHT", "LIGHT_EN"};
      needed.insert(kit->panel.backlight.dimming.by == DimmingKind::kPwm ? "PWM" : "DIM");
      const Panel::Link& link = kit->panel.link;
      for (int channel = 0; channel < 4; ++channel) {
        if (link.kind == LinkKind::kEdp) {
          const std::string lane = "L" + std::to_string(channel);
          CHECK(reached.contains(lane + "-") == (channel < link.channels));
          CHECK(reached.contains(lane + "+") == (channel < link.channels));
          continue;
        }
        const int pairs = bits_per_pixel(link.mapping) / 6;
        for (const std::string pair : {"0", "1", "2", "3", "4", "CLK"}) {
          const bool used = channel < link.channels && (pair == "CLK" || std::stoi(pair) < pairs);
          const std::string name = std::string(1, static_cast<char>('A' + channel)) + pair;
          CAPTURE(name);
          CHECK(reached.contains(name + "-") == used);
          CHECK(reached.contains(name + "+") == used);
        }
      }
      for (const std::string& net : needed) {
        CAPTURE(net);
        CHECK(reached.contains(net));
      }
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
    CHECK(mappings.size() == 4);
    CHECK(senses.size() == 2);
    CHECK(supplies == std::set<std::int64_t>{3300, 5000, 12000});
    CHECK(boards.size() == 7);
  }

  TEST_CASE("the panels cover what panels differ in") {
    std::set<std::int64_t> supplies;
    std::set<Mapping> mappings;
    std::set<std::pair<LinkKind, int>> links;
    std::set<DimmingSense> senses;
    std::set<DimmingKind> dimming;
    std::set<LightKind> lights;
    std::set<std::string> shapes;
    for (const std::string& path : files_in("panels")) {
      CAPTURE(path);
      const auto loaded = load_panel(path, kCatalogue);
      REQUIRE(loaded.has_value());
      const Panel& panel = *loaded;
      supplies.insert(panel.supply.voltage.nominal->count);
      mappings.insert(panel.link.mapping);
      links.emplace(panel.link.kind, panel.link.channels);
      senses.insert(panel.backlight.dimming.sense);
      dimming.insert(panel.backlight.dimming.by);
      lights.insert(panel.backlight.kind);
      const std::int64_t columns = panel.glass.columns.count;
      const std::int64_t lines = panel.glass.lines.count;
      if (panel.glass.shape == Shape::kCircle) shapes.insert("round");
      if (columns > 3 * lines) shapes.insert("bar");
      if (columns * 3 == lines * 4) shapes.insert("4:3");
      if (columns < lines) shapes.insert("portrait");
      if (panel.signal.window) shapes.insert("windowed");
      // The glass has square pixels, to a hundredth.
      const std::int64_t across = panel.glass.width.count * lines;
      const std::int64_t down = panel.glass.height.count * columns;
      CHECK(std::abs(across - down) * 100 <= down);
      // What is typical fits what is typical: totals at this refresh make this clock, to a fiftieth.
      const Panel::Signal& signal = panel.signal;
      const std::int64_t dots = signal.h_total.nominal->count * signal.v_total.nominal->count;
      const std::int64_t clock = dots * signal.refresh.nominal->count / 1000;
      CHECK(std::abs(clock - signal.pixel_clock.nominal->count) * 50 <= clock);
      // Receivers of ordinary LVDS take 20 to 112 MHz a channel, seven bits each clock on each pair.
      if (panel.link.kind == LinkKind::kLvds) {
        CHECK(signal.pixel_clock.min->count / panel.link.channels >= 20'000'000);
        CHECK(signal.pixel_clock.max->count / panel.link.channels <= 112'000'000);
      }
    }
    CHECK(supplies == std::set<std::int64_t>{3300, 5000, 12000});
    CHECK(mappings.size() == 5);
    CHECK(senses.size() == 2);
    CHECK(dimming.size() == 2);
    CHECK(lights.size() == 2);
    CHECK(shapes == std::set<std::string>{"round", "bar", "4:3", "portrait", "windowed"});
    for (const int channels : {1, 2, 4}) CHECK(links.contains({LinkKind::kLvds, channels}));
    for (const int lanes : {1, 2}) CHECK(links.contains({LinkKind::kEdp, lanes}));
  }

  TEST_CASE("the boards cover what boards differ in") {
    std::set<std::string> families;
    for (const std::string& path : files_in("boards")) {
      CAPTURE(path);
      const auto loaded = load_board(path, kCatalogue);
      REQUIRE(loaded.has_value());
      const Board& board = *loaded;
      const auto all = [&](Evidence evidence) {
        return std::all_of(board.straps.begin(), board.straps.end(),
                           [&](const Strap& strap) { return strap.evidence == evidence; });
      };
      const auto any = [&](Evidence evidence) {
        return std::any_of(board.straps.begin(), board.straps.end(),
                           [&](const Strap& strap) { return strap.evidence == evidence; });
      };
      if (all(Evidence::kUnread)) families.insert("unsensed");
      if (any(Evidence::kAtReset)) families.insert("latched");
      if (board.profile == WireProfile::kOwn) families.insert("foreign");
      if (board.link.kind == LinkKind::kEdp) families.insert("edp");
      if (board.link.kind == LinkKind::kLvds && board.link.channels_max == 1) families.insert("single");
      const bool wide = board.input_supply.voltage.max->count >= 2 * board.input_supply.voltage.min->count;
      if (wide && board.rail(RailId::kLight)->origin == RailOrigin::kPassedThrough) families.insert("wide");
      CHECK((board.profile == WireProfile::kOwn) == !board.registers.empty());
    }
    CHECK(families.size() == 6);
  }

  TEST_CASE("the kits are at every stage of a life") {
    std::map<Status, int> stages;
    std::set<std::string> successors;
    for (const std::string& id : kit_ids(kCatalogue)) {
      const auto kit = load_kit(id, kCatalogue);
      REQUIRE(kit.has_value());
      ++stages[kit->about.status];
      const auto replaced = load_kit(kit->about.replaces, kCatalogue);
      if (!kit->about.replaces.empty() && replaced) {
        successors.insert(id);
        CHECK(replaced->about.status == Status::kWithdrawn);
      }
    }
    CHECK(stages[Status::kDraft] >= 1);
    CHECK(stages[Status::kReleased] >= 8);
    CHECK(stages[Status::kWithdrawn] >= 1);
    CHECK(successors == std::set<std::string>{"inspector-desk"});
  }
}
