#include "host/expect/document.hpp"

#include <doctest/doctest.h>

#include "tests/host/expect/kit.hpp"
#include "tests/support/json_document.hpp"
#include "tests/support/json_schema.hpp"

using namespace host;
using Json = tests::support::JsonDocument;
using tests::support::schema_complaints_of_text;

namespace {

std::string written(const model::Kit& kit, const expect::JointPosition& given) {
  return report::json::write(expect::to_json(kit, tests::expectation_of(kit), given));
}

Json json_of(const model::Kit& kit, const expect::JointPosition& given) {
  return Json::parse(written(kit, given));
}

std::string text_of(const model::Kit& kit, const expect::JointPosition& given) {
  return report::to_text(expect::to_document(kit, tests::expectation_of(kit), given), {});
}

}  // namespace

TEST_SUITE("host/expect/document") {
  TEST_CASE("the JSON of sound and of spoiled kits keeps to its schema") {
    const std::string rules = tests::support::shipped_text("host/expect/check.schema.json");
    const auto keeps_to_it = [&](const std::string& document) {
      for (const auto& complaint : schema_complaints_of_text(rules, document)) FAIL_CHECK(complaint);
    };
    auto kit = tests::sound_kit();
    keeps_to_it(written(kit, {}));
    keeps_to_it(written(kit, tests::position_of(kit.board, {{"BR1", "3-4"}})));
    auto timed = kit;
    timed.board.sequence = host::model::Board::Sequence{};
    timed.board.sequence->rest = {{{1}}, {{2}}, {{3}}};
    timed.board.light.pwm_clock = {{48'000'000}};
    timed.board.input_supply.fuse = {4000};
    keeps_to_it(written(timed, {}));
    CHECK(json_of(timed, {})["expectation"]["backlight"]["pwm_steps"] == 240'000);
    CHECK(json_of(timed, {})["expectation"]["sequence"]["at_loss"] == "at-once");
    kit.panel.signal.window = model::Panel::Window{{0}, {0}};
    kit.panel.sequence = {};
    kit.panel.backlight.dimming.by = model::DimmingKind::kAnalogue;
    kit.panel.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}};
    keeps_to_it(written(kit, {}));
    // The check itself must be able to fail.
    const Json spoiled = json_of(kit, {}).with("/expectation/timing/extra", "1");
    CHECK(schema_complaints_of_text(rules, spoiled.dump()).size() == 1);
  }

  TEST_CASE("a sound kit passes, with every figure in its unit") {
    const Json json = json_of(tests::sound_kit(), {});
    CHECK(json["schema"] == "strapline/check/1");
    CHECK(json["kit"]["id"] == "bench-display");
    CHECK(json["verdict"] == "pass");
    CHECK(json["danger"] == false);
    CHECK(json["findings"].empty());
    const Json expectation = json["expectation"];
    CHECK(expectation["panel_link"]["channel_clock_khz"] == 71'000);
    CHECK(expectation["panel_link"]["bit_rate_kbps"] == 497'000);
    CHECK(expectation["panel_link"]["mapping"] == "jeida-24");
    CHECK(expectation["timing"]["pixel_clock_khz"] == 71'000);
    CHECK(expectation["timing"]["refresh_millihz"] == 59'910);
    CHECK(expectation["supply"]["power_mw"] == 17'813);
    CHECK(expectation["supply"]["recommended_power_mw"] == 24'000);
    CHECK(expectation["backlight"]["sense"] == "low-is-brighter");
    CHECK(expectation["backlight"]["pwm_duty_permille"] == 360);
    CHECK(expectation["sequence"]["signal_to_light_us_min"] == 200'000);
    // 5 V x 0.12 A / 80 % = 0.75 W beside 12 W of light and 3 W of board.
    CHECK(expectation["supply"]["idle_mw"] == 15'750);
    CHECK(expectation["backlight"]["pwm_chosen_hz"] == 200);
    // 200 Hz lies 20.27 Hz above 3 x 59.910 Hz; light that goes to zero there is outside both regions.
    CHECK(expectation["backlight"]["pwm_beat_millihz"] == 20'270);
    CHECK(expectation["backlight"]["ieee_1789"] == "outside");
    REQUIRE(expectation["cable_drops"].size() == 2);
    // AWG 26, 0.3 m at 60 °C: 133.9 mΩ/m x 0.3 x 1.1572 = 46.5 mΩ, with two contacts 86.5 mΩ. Panel: two out,
    // seven back: 43.2 + 12.4 = 55.6 mΩ; x 0.45 A = 25.02 mV, rounded up; 4.85 V - 26 mV.
    const Json drop = expectation["cable_drops"][0];
    CHECK(drop["net"] == "VPANEL");
    CHECK(drop["drop_mv"] == 26);
    CHECK(drop["at_load_mv_min"] == 4'824);
    REQUIRE(expectation["margins"].size() == 6);
    // 71 MHz in 68 to 85 MHz: 3 / 71 = 42 permille; 71 of 85 MHz of the board's: 197; of 150 MHz of the
    // input's: 1112.
    CHECK(expectation["margins"][0]["margin_permille"] == 42);
    CHECK(expectation["margins"][4]["margin_permille"] == 197);
    CHECK(expectation["margins"][5]["margin_permille"] == 1112);
    CHECK_FALSE(expectation["sequence"].contains("rest_us_min"));
    CHECK_FALSE(expectation.contains("window"));
  }

  TEST_CASE("straps carry position, given, accepted, positions and how they can be known") {
    const auto kit = tests::sound_kit();
    const Json straps =
        json_of(kit, tests::position_of(kit.board, {{"BR1", "3-4"}}))["expectation"]["straps"];
    REQUIRE(straps.size() == 6);
    CHECK(straps[0]["id"] == "BR1");
    CHECK(straps[0]["functions"].dump() == R"(["panel-supply"])");
    CHECK(straps[0]["position"] == "2-3");
    CHECK(straps[0]["given"] == "3-4");
    CHECK(straps[0]["accepted"].dump() == R"(["2-3"])");
    CHECK(straps[0]["positions"].dump() == R"(["open","1-2","2-3","3-4","1-2+3-4"])");
    CHECK(straps[0]["evidence_possible"] == "sensed");
    CHECK_FALSE(straps[1].contains("given"));
    CHECK(straps[4]["evidence_possible"] == "inferred");  // keypad power is measured
    CHECK(straps[5]["evidence_possible"] == "at-reset");
    CHECK(straps[5]["accepted"].dump() == R"(["0100","1100","0101"])");
    auto unseen = kit;
    unseen.board.absent = {protocol::points::Point::kRailsKeypadOutMv};
    CHECK(json_of(unseen, {})["expectation"]["straps"][4]["evidence_possible"] == "attested");
  }

  TEST_CASE("a strap without a solution has no position") {
    auto kit = tests::sound_kit();
    kit.panel.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}};
    const Json json = json_of(kit, {});
    CHECK(json["verdict"] == "fail");
    CHECK(json["danger"] == false);
    CHECK_FALSE(json["expectation"]["straps"][0].contains("position"));
    CHECK(json["expectation"]["straps"][0]["accepted"].empty());
  }

  TEST_CASE("given positions that destroy the panel fail the check as a danger") {
    const auto kit = tests::sound_kit();
    const Json json = json_of(kit, tests::position_of(kit.board, {{"BR1", "3-4"}}));
    CHECK(json["verdict"] == "fail");
    CHECK(json["danger"] == true);
    REQUIRE(json["findings"].size() == 1);
    CHECK(json["findings"][0]["id"] == "panel-supply-strap");
    CHECK(json["findings"][0]["severity"] == "danger");
    CHECK(json["findings"][0]["subject"] == "straps.BR1");
  }

  TEST_CASE("points carry a bound only where there is one") {
    const Json points = json_of(tests::sound_kit(), {})["expectation"]["points"];
    const auto at = [&](const std::string& name) {
      for (const Json& one : points.elements()) {
        if (one["point"] == name) return one;
      }
      return Json();
    };
    CHECK(at("rails.panel_out_mv")["min"] == 4500);
    CHECK(at("rails.panel_out_mv")["nominal"] == 5000);
    CHECK(at("rails.panel_out_mv")["max"] == 5500);
    CHECK(at("rails.panel_out_mv")["quantity_unit"] == "mV");
    CHECK(at("rails.panel_out_mv_max")["max"] == 6000);
    CHECK_FALSE(at("rails.panel_out_mv_max").contains("min"));
    CHECK(at("identity.board")["text"] == "larch");
    CHECK_FALSE(at("identity.board").contains("nominal"));
    CHECK(at("panel_link.mapping")["choice"] == "jeida-24");
  }

  TEST_CASE("warnings and notes alone don't fail a kit") {
    auto kit = tests::sound_kit();
    kit.about.status = model::Status::kDraft;
    const Json json = json_of(kit, {});
    CHECK(json["verdict"] == "pass");
    CHECK(json["findings"].size() == 1);
  }

  TEST_CASE("the text says what to set, what to read, why, and ends in a verdict") {
    const auto kit = tests::sound_kit();
    const std::string text = text_of(kit, {});
    for (const char* part :
         {"Straps to set", "BR1", "2-3", "or 1100, 0101", "rails.panel_out_mv", "4500..5500 mV",
          "497000 kbit/s", "recommended 24 W", "PASS", "strapline verify bench-display"}) {
      CAPTURE(std::string(part));
      CHECK(text.find(part) != std::string::npos);
    }
    const std::string spoiled = text_of(kit, tests::position_of(kit.board, {{"BR1", "3-4"}}));
    CHECK(spoiled.find("DANGER") != std::string::npos);
    CHECK(spoiled.find("given 3-4") != std::string::npos);
    CHECK(spoiled.rfind("Supply off, then BR1 to 2-3.") > spoiled.rfind("FAIL"));
  }
}
