#include "host/expect/sheet/sheet.hpp"

#include <cstdlib>

#include <doctest/doctest.h>

#include "host/expect/sheet/board_drawing.hpp"
#include "host/expect/sheet/label_places.hpp"
#include "host/expect/sheet/sections.hpp"
#include "host/model/catalogue.hpp"
#include "tests/host/expect/kit.hpp"

using namespace host;
using report::TextShape;

namespace {

model::Catalogue shipped() {
  const char* source = std::getenv("STRAPLINE_SOURCE");
  return {(source != nullptr ? std::string(source) : std::string(".")) + "/host/catalog"};
}

std::string text_of(const model::Kit& kit) {
  return to_text(expect::sheet::make_sheet(kit, tests::expectation_of(kit)), {.width = 200});
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::vector<std::string> texts_in(const report::Drawing& drawing) {
  std::vector<std::string> texts;
  for (const auto& shape : drawing.shapes) {
    if (const auto* text = std::get_if<TextShape>(&shape)) texts.push_back(text->text);
  }
  return texts;
}

std::size_t marks_in(const report::Drawing& drawing) {
  std::size_t marks = 0;
  for (const auto& shape : drawing.shapes) {
    const auto* line = std::get_if<report::PolylineShape>(&shape);
    if (line != nullptr && line->role == report::Role::kPin1) ++marks;
  }
  return marks;
}

}  // namespace

TEST_SUITE("host/expect/sheet") {
  TEST_CASE("every shipped kit's drawing has every connector and strap, and marks pin 1 of each") {
    REQUIRE_FALSE(model::kit_ids(shipped()).empty());
    for (const auto& id : model::kit_ids(shipped())) {
      CAPTURE(id);
      const auto kit = model::load_kit(id, shipped());
      REQUIRE(kit.has_value());
      const auto drawing = expect::sheet::draw_board(*kit, tests::expectation_of(*kit));
      const auto texts = texts_in(drawing);
      const auto drawn = [&](const std::string& wanted) {
        return std::any_of(texts.begin(), texts.end(), [&](const std::string& text) {
          return text == wanted || text.starts_with(wanted + " ");
        });
      };
      for (const auto& connector : kit->board.connectors) {
        CAPTURE(connector.id);
        CHECK(drawn(connector.id));
      }
      for (const auto& strap : kit->board.straps) {
        CAPTURE(strap.id);
        CHECK(drawn(strap.id));
      }
      const std::size_t parts = kit->board.connectors.size() + kit->board.straps.size();
      CHECK(marks_in(drawing) == parts);
      CHECK(drawing.words.rows.size() == parts);
    }
  }

  TEST_CASE("no label of a shipped board lies on another") {
    for (const auto& id : model::kit_ids(shipped())) {
      const auto kit = model::load_kit(id, shipped());
      REQUIRE(kit.has_value());
      std::vector<TextShape> labels;
      for (const auto& shape : expect::sheet::draw_board(*kit, tests::expectation_of(*kit)).shapes) {
        const auto* text = std::get_if<TextShape>(&shape);
        if (text == nullptr) continue;
        for (const auto& other : labels) {
          CAPTURE(id);
          CAPTURE(text->text);
          CAPTURE(other.text);
          CHECK_FALSE(expect::sheet::box_of(*text).meets(expect::sheet::box_of(other)));
        }
        labels.push_back(*text);
      }
    }
  }

  TEST_CASE("the sheet of every shipped kit tells parts, straps, cables and figures") {
    for (const auto& id : model::kit_ids(shipped())) {
      CAPTURE(id);
      const auto kit = model::load_kit(id, shipped());
      REQUIRE(kit.has_value());
      const auto expectation = tests::expectation_of(*kit);
      const std::string text = text_of(*kit);
      CHECK(holds(text, kit->digest));
      CHECK(holds(text, "revision " + kit->about.revision));
      for (const auto* about : {&kit->panel.about, &kit->board.about, &kit->supply.about}) {
        CHECK(holds(text, about->id));
        CHECK(holds(text, about->title));
      }
      for (const auto& [designator, cable] : kit->cables) {
        CHECK(holds(text, designator));
        CHECK(holds(text, cable.about.id));
        CHECK(holds(text, "board end (" + cable.board_family + ")"));
        CHECK(holds(text, "far end (" + cable.far_family + ")"));
      }
      for (const auto& strap : expectation.straps) {
        const auto& one = kit->board.straps[strap.strap];
        CHECK(holds(text, one.look));
      }
      for (const auto& function : expectation.functions) {
        if (function.used) CHECK(holds(text, function.why));
      }
      for (const char* part : {"Law", "licensed", "Static", "Supply off", "Light"}) CHECK(holds(text, part));
    }
  }

  TEST_CASE("straps are set before cables, and the supply comes after everything else") {
    const std::string text = text_of(tests::sound_kit());
    const std::string wiring = text.substr(text.find("Wiring order"));
    const std::size_t off = wiring.find("supply off and pulled"), straps = wiring.find("set the straps"),
                      panel = wiring.find("panel link:"), light = wiring.find("backlight:"),
                      look = wiring.find("look it all over"), last = wiring.find("supply last");
    REQUIRE(last != std::string::npos);
    REQUIRE(light != std::string::npos);
    CHECK(off < straps);
    CHECK(straps < panel);
    CHECK(panel < light);
    CHECK(light < look);
    CHECK(look < last);
  }

  TEST_CASE("an end that isn't keyed is shouted about, a keyed one isn't") {
    auto kit = tests::sound_kit();
    CHECK_FALSE(holds(text_of(kit), "NOT KEYED"));
    REQUIRE_FALSE(expect::sheet::joints_of(kit).empty());
    for (auto& connector : kit.board.connectors) {
      if (connector.id == kit.board.link.connector) connector.keyed = false;
    }
    CHECK(holds(text_of(kit), "NOT KEYED"));
  }

  TEST_CASE("a kit that can't work says so ahead of everything") {
    auto kit = tests::sound_kit();
    kit.panel.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}};
    const std::string text = text_of(kit);
    CHECK(holds(text, "can't work as it stands"));
    CHECK(text.find("can't work as it stands") < text.find("Cautions"));
    CHECK(holds(text, "none suits"));
    CHECK_FALSE(holds(text_of(tests::sound_kit()), "can't work as it stands"));
  }

  // 74.25 MHz x 7 = 519.75 Mbit/s; 148.5 MHz over two channels; see the check of the same kit.
  TEST_CASE("figures carry their formula with its numbers") {
    const auto kit = model::load_kit("stop-display", shipped());
    REQUIRE(kit.has_value());
    const std::string text = text_of(*kit);
    CHECK(holds(text, "148.5 MHz / 2 channels"));
    CHECK(holds(text, "7 x 74.25 MHz"));
    CHECK(holds(text, "board 4.2 W + panel 12 V x 0.6 A / 88 % + light 18.5 W / 88 % + keypad"));
    CHECK(holds(text, " = 33.548 W"));
    CHECK(holds(text, "33.548 W / 22.8 V"));
    CHECK(holds(text, "1920 + 88 + 44 + 148 = 2200"));
    CHECK(holds(text, "1920 x 360 at 0, 360"));
  }

  TEST_CASE("the sheet says what to do about the EDID, and how the light is dimmed") {
    auto kit = tests::sound_kit();
    CHECK(holds(text_of(kit), "strapline edid make bench-display -o FILE, into the board"));
    CHECK(holds(text_of(kit), "the board's own 200 Hz"));
    kit.board.inputs[1].edid = model::EdidOrigin::kNone;
    CHECK(holds(text_of(kit), "the board answers none: set the source by hand"));
    kit.board.inputs[1].edid = model::EdidOrigin::kFixed;
    kit.board.inputs[1].edid_timings = {"dmt 10h"};
    CHECK(holds(text_of(kit), "the board's own; a source chooses detailed 1024 x 768"));
    kit.panel.backlight.dimming.by = model::DimmingKind::kAnalogue;
    kit.panel.backlight.dimming.range = {{{300}}, {}, {{3000}}};
    kit.panel.backlight.dimming.sense = model::DimmingSense::kHighIsBrighter;
    kit.board.light.level_at = {{{0}, {500}}, {{1'000'000}, {2500}}};
    CHECK(holds(text_of(kit), "by a voltage, 1.9 V"));  // 0.5 + 2 x 70 %
  }

  TEST_CASE("figures with a source of their own are listed with it, and none where there is none") {
    const auto kit = model::load_kit("stop-display", shipped());
    REQUIRE(kit.has_value());
    const std::string text = text_of(*kit);
    CHECK(holds(text, "its own source"));
    CHECK(holds(text, "supply.current.worst"));
    CHECK(holds(text, "slate change note 3, page 1"));
    CHECK_FALSE(holds(text_of(tests::sound_kit()), "its own source"));
  }
}
