#include "host/expect/match.hpp"

#include <algorithm>
#include <functional>

#include <doctest/doctest.h>

#include "tests/host/expect/kit.hpp"
#include "tests/support/json_document.hpp"
#include "tests/support/json_schema.hpp"

using namespace host;
using expect::RefusalKind;
using Json = tests::support::JsonDocument;

namespace {

expect::Match only(const model::Panel& panel, const model::Board& board, const expect::Wants& wants = {}) {
  const auto ranking = expect::match(panel, {board}, wants);
  REQUIRE(ranking);
  REQUIRE(ranking->matches.size() == 1);
  return ranking->matches.front();
}

// Dimmed by 0.3 to 3 V.
void by_voltage(model::Kit& kit, std::map<model::PartsPerMillion, model::Millivolts> level_at) {
  kit.panel.backlight.dimming.by = model::DimmingKind::kAnalogue;
  kit.panel.backlight.dimming.range = {{{300}}, {}, {{3000}}};
  kit.board.light.level_at = std::move(level_at);
}

struct Misfit {
  const char* what;
  std::function<void(model::Kit&, expect::Wants&)> spoil;
  RefusalKind kind;
  const char* subject;
  const char* says;
  std::int64_t permille;  // 0: none is given
};

}  // namespace

TEST_SUITE("host/expect/match") {
  TEST_CASE("a board that drives the panel suits, and its narrowest margin is told") {
    const auto kit = tests::sound_kit();
    const auto one = only(kit.panel, kit.board, {{"hdmi"}, {"keypad"}});
    CHECK(one.suits);
    CHECK(one.refusals.empty());
    // 71 of 85 MHz: 197; hdmi 71 of 150 MHz: 1112; panel 450 of 2000 mA: 3444; light 9.6 W / 11.64 V = 825 of
    // 1500 mA: 818 permille.
    CHECK(one.narrowest_permille == 197);
    REQUIRE(one.headroom.size() == 4);
    CHECK(one.headroom[0].permille == 3444);
    CHECK(one.headroom[1].permille == 818);
    CHECK(one.headroom[3].permille == 1112);
  }

  TEST_CASE("every reason against a board is told, with its kind and what it falls short by") {
    const Misfit misfits[] = {
        {"a voltage its rail doesn't have",
         [](model::Kit& kit, expect::Wants&) { kit.panel.supply.voltage = {{{8000}}, {{9000}}, {{10'000}}}; },
         RefusalKind::kElectrical, "rails.panel", "its rail gives 3.3 V; 5 V; 12 V",
         -236},  // 12.36 V is 23.6 % above 10 V, 4.85 V 39.4 % below 8 V
        {"a current its rail can't give",
         [](model::Kit& kit, expect::Wants&) { kit.panel.supply.worst = {4000}; }, RefusalKind::kElectrical,
         "rails.panel.current", "draws 4 A", -500},
        {"a light that takes another voltage",
         [](model::Kit& kit, expect::Wants&) { kit.panel.backlight.supply = {{{22'000}}, {}, {{26'000}}}; },
         RefusalKind::kElectrical, "rails.light", "22..26 V", -471},  // 11.64 of 22 V
        {"an enable level it doesn't reach",
         [](model::Kit& kit, expect::Wants&) { kit.panel.backlight.enable.on_above = {5000}; },
         RefusalKind::kElectrical, "light.enable", "on above 5 V", -50},
        {"a supply handed on that can't suit",
         [](model::Kit& kit, expect::Wants&) {
           kit.board.rails[2].origin = model::RailOrigin::kPassedThrough;
           kit.board.rails[2].choices.clear();
           kit.panel.backlight.supply = {{{4500}}, {}, {{5500}}};
         },
         RefusalKind::kElectrical, "rails.light", "hands its supply of 9..28 V on", 0},
        {"a link of another kind",
         [](model::Kit& kit, expect::Wants&) { kit.panel.link.kind = model::LinkKind::kEdp; },
         RefusalKind::kElectrical, "link.kind", "takes edp", 0},
        {"dimming frequencies that don't meet",
         [](model::Kit& kit, expect::Wants&) {
           kit.panel.backlight.dimming.frequency = {{{1001}}, {}, {{9000}}};
         },
         RefusalKind::kElectrical, "light.pwm", "gives 100..1000 Hz", 0},
        {"a dimming voltage it doesn't give", [](model::Kit& kit, expect::Wants&) { by_voltage(kit, {}); },
         RefusalKind::kElectrical, "light.level", "it gives no such voltage", 0},
        {"dimming voltages that don't meet",
         [](model::Kit& kit, expect::Wants&) { by_voltage(kit, {{{0}, {3100}}, {{1'000'000}, {10'000}}}); },
         RefusalKind::kElectrical, "light.level", "gives 3.1..10 V", 0},
        {"a sense that can't be set",
         [](model::Kit& kit, expect::Wants&) {
           kit.board.functions.erase(kit.board.functions.begin() + 2);
           kit.board.light.sense = model::DimmingSense::kHighIsBrighter;
         },
         RefusalKind::kElectrical, "light.sense", "low-is-brighter", 0},
        {"more channels than it has", [](model::Kit& kit, expect::Wants&) { kit.panel.link.channels = 4; },
         RefusalKind::kClock, "link.channels", "4 channels; it drives 2", 0},
        {"a clock it doesn't reach",
         [](model::Kit& kit, expect::Wants&) { kit.board.link.channel_clock_max = {35'500'000}; },
         RefusalKind::kClock, "link.channel_clock", "is 71 MHz a channel", -500},
        {"lanes it can't run so fast",
         [](model::Kit& kit, expect::Wants&) {
           kit.panel.link.kind = kit.board.link.kind = model::LinkKind::kEdp;
           kit.panel.link.lane_rate = {{5'400'000}};
           kit.board.link.lane_rate_max = {{2'700'000}};
         },
         RefusalKind::kClock, "link.lane_rate", "run at 5.4 Gbit/s", -500},
        {"a mapping it hasn't",
         [](model::Kit& kit, expect::Wants&) { kit.panel.link.mapping = model::Mapping::kJeida30; },
         RefusalKind::kBits, "link.mapping", "takes jeida-30", 0},
        {"a raster it hasn't", [](model::Kit& kit, expect::Wants&) { kit.panel.signal.raster_lines = {768}; },
         RefusalKind::kBits, "link.raster", "no row of its straps", 0},
        {"an input it hasn't", [](model::Kit&, expect::Wants& wants) { wants.inputs = {"displayport"}; },
         RefusalKind::kInput, "inputs.displayport", "no displayport input, but vga, hdmi", 0},
        {"an input that is too slow",
         [](model::Kit& kit, expect::Wants& wants) {
           wants.inputs = {"vga"};
           kit.board.inputs[0].pixel_clock_max = {70'000'000};
         },
         RefusalKind::kInput, "inputs.vga", "more than its vga-1 takes", -15},  // 1 / 71
        {"a feature it lacks", [](model::Kit&, expect::Wants& wants) { wants.features = {"sensed-straps"}; },
         RefusalKind::kFeature, "sensed-straps", "every strap", 0},
    };
    for (const Misfit& misfit : misfits) {
      CAPTURE(std::string(misfit.what));
      auto kit = tests::sound_kit();
      expect::Wants wants;
      misfit.spoil(kit, wants);
      const auto one = only(kit.panel, kit.board, wants);
      CHECK_FALSE(one.suits);
      const auto found =
          std::ranges::find(one.refusals, std::string(misfit.subject), &expect::Refusal::subject);
      REQUIRE(found != one.refusals.end());
      CHECK(found->kind == misfit.kind);
      CAPTURE(found->reason);
      CHECK(found->reason.find(misfit.says) != std::string::npos);
      CHECK(found->permille.value_or(0) == misfit.permille);
      CHECK_FALSE(found->needed.empty());
      CHECK_FALSE(found->offered.empty());
    }
  }

  TEST_CASE("a dimming voltage that reaches too high suits with a remark") {
    auto kit = tests::sound_kit();
    by_voltage(kit, {{{0}, {0}}, {{1'000'000}, {3001}}});
    auto one = only(kit.panel, kit.board);
    CHECK(one.suits);
    REQUIRE(one.remarks.size() == 1);
    CHECK(one.remarks.front().find("reaches 3.001 V") != std::string::npos);
    by_voltage(kit, {{{0}, {0}}, {{1'000'000}, {3000}}});
    one = only(kit.panel, kit.board);
    CHECK(one.suits);
    CHECK(one.remarks.empty());
  }

  TEST_CASE("every feature can be had and can be lacking") {
    for (const expect::FeatureWord& feature : expect::features()) {
      CAPTURE(std::string(feature.name));
      auto kit = tests::sound_kit();
      kit.board.straps.clear();
      kit.board.service.level = feature.name;
      kit.board.functions.push_back({model::FunctionId::kScanDirection, {}, {}});
      CHECK(only(kit.panel, kit.board, {{}, {std::string(feature.name)}}).suits);
      auto bare = tests::sound_kit();
      bare.board.rails.pop_back();
      bare.board.service.level = "none";
      bare.board.absent = {protocol::points::Point::kRailsPanelOutMa, protocol::points::Point::kLogRecords};
      CHECK_FALSE(only(bare.panel, bare.board, {{}, {std::string(feature.name)}}).suits);
    }
  }

  TEST_CASE("those that suit stand first, the widest margin first, then by what is against them") {
    const auto kit = tests::sound_kit();
    auto boards = std::vector<model::Board>(4, kit.board);
    boards[0].about.id = "ash";
    boards[0].link.channel_clock_max = {70'000'000};
    boards[0].inputs.clear();
    boards[1].about.id = "beech";
    boards[1].link.channel_clock_max = {70'000'000};
    boards[2].about.id = "cedar";
    boards[3].about.id = "elm";
    boards[3].link.channel_clock_max = {90'000'000};
    const auto ranking = expect::match(kit.panel, boards, {});
    REQUIRE(ranking);
    std::string order;
    for (const auto& one : ranking->matches) order += one.board + " ";
    CHECK(order == "elm cedar beech ash ");
    const std::string text = report::to_text(expect::to_document(*ranking), {});
    CHECK(text.find("In this order: elm, cedar") != std::string::npos);
    CHECK(text.find("no, clock") != std::string::npos);
  }

  TEST_CASE("what can't be wanted is refused with what can") {
    const auto kit = tests::sound_kit();
    const auto input = expect::match(kit.panel, {kit.board}, {{"scart"}, {}});
    REQUIRE_FALSE(input);
    CHECK(input.error() == "there is no kind of input 'scart'; there are hdmi, dvi, vga and displayport");
    const auto feature = expect::match(kit.panel, {kit.board}, {{}, {"wings"}});
    REQUIRE_FALSE(feature);
    CHECK(feature.error().find("no feature 'wings'; there are keypad, ") != std::string::npos);
  }

  TEST_CASE("the JSON has the schema's keys and no others") {
    const std::string rules = tests::support::shipped_text("host/expect/match.schema.json");
    auto kit = tests::sound_kit();
    auto slow = kit.board;
    slow.link.channel_clock_max = {70'000'000};
    slow.about.status = model::Status::kDraft;
    const auto ranking = expect::match(kit.panel, {slow, kit.board}, {{"hdmi"}, {"keypad"}});
    REQUIRE(ranking);
    const std::string written = report::json::write(to_json(*ranking));
    for (const auto& complaint : tests::support::schema_complaints_of_text(rules, written))
      FAIL_CHECK(complaint);
    const Json json = Json::parse(written);
    REQUIRE(json["boards"].size() == 2);
    CHECK(json["verdict"] == "pass");
    CHECK(json["boards"][0]["narrowest_margin_permille"] == 197);
    CHECK(json["boards"][1]["refusals"][0]["margin_permille"] == -15);
    CHECK(json["boards"][1]["remarks"][0] == "its file is draft");
    const auto named = Json::parse(rules)["properties"]["needs"]["items"]["enum"].elements();
    REQUIRE(named.size() == expect::features().size());
    for (std::size_t i = 0; i < named.size(); ++i) CHECK(named[i] == expect::features()[i].name);
  }
}
