#include <algorithm>

#include <doctest/doctest.h>

#include "tests/host/expect/kit.hpp"

using namespace host;
using model::FindingId;
using model::Severity;

namespace {

std::vector<model::Finding> explain(const model::Kit& kit,
                                    const std::vector<std::pair<std::string, std::string>>& positions) {
  return expect::explain(kit, tests::expectation_of(kit), tests::position_of(kit.board, positions));
}

// Panel supply over two jumpers: BR1 1-2 hands on what BR2 chooses, BR1 3-4 is 12 V; every position of either
// but "open" occurs in some right assignment.
model::Kit joint_kit() {
  auto kit = tests::sound_kit();
  const auto pattern = [&](std::size_t strap, const char* text) {
    return *parse_pattern(kit.board.straps[strap], text);
  };
  auto& rows = kit.board.functions[0].rows;
  rows[0].settings = {{0, {pattern(0, "1-2")}}, {1, {pattern(1, "2-3")}}};  // 3.3 V
  rows[1].settings = {{0, {pattern(0, "1-2")}}, {1, {pattern(1, "1-2")}}};  // 5 V
  rows[2].settings = {{0, {pattern(0, "2-3")}}, {1, {pattern(1, "1-2")}}};  // 12 V
  auto more = rows[1];
  more.settings = {{0, {pattern(0, "2-3")}}, {1, {pattern(1, "2-3")}}};  // 5 V
  rows.push_back(more);
  kit.board.functions.erase(kit.board.functions.begin() + 1);  // BR2 no longer chooses the enable level
  return kit;
}

}  // namespace

TEST_SUITE("host/expect/explain") {
  TEST_CASE("accepted positions have nothing to explain, given whole or in part") {
    const auto kit = tests::sound_kit();
    CHECK(explain(kit, {}).empty());
    CHECK(explain(kit, {{"BR1", "2-3"}, {"S1", "0101"}}).empty());
    CHECK(
        explain(
            kit,
            {{"BR1", "2-3"}, {"BR2", "2-3"}, {"BR3", "1-2"}, {"BR4", "2-3"}, {"BR5", "1-2"}, {"S1", "1100"}})
            .empty());
  }

  TEST_CASE("a panel rail above the panel's limits is a danger, said with its figures") {
    const auto findings = explain(tests::sound_kit(), {{"BR1", "3-4"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].id == FindingId::kPanelSupplyStrap);
    CHECK(findings[0].severity == Severity::kDanger);
    CHECK(findings[0].subject == "straps.BR1");
    CHECK(findings[0].expected == "2-3");
    CHECK(findings[0].actual == "3-4");
    CHECK(findings[0].consequence ==
          "BR1 at 3-4 selects 12 V; this panel takes 4.5..5.5 V, absolute maximum 6 V: the panel would be "
          "destroyed "
          "at power-on.");
    CHECK(findings[0].remedy == "Supply off, then BR1 to 2-3.");
  }

  TEST_CASE("a panel rail below the panel's limits is a fault") {
    const auto findings = explain(tests::sound_kit(), {{"BR1", "1-2"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].severity == Severity::kFault);
    CHECK(findings[0].consequence.find("3.3 V") != std::string::npos);
  }

  TEST_CASE("between the window and the absolute maximum the panel is driven beyond its rating") {
    auto kit = tests::sound_kit();
    kit.panel.supply.voltage = {{{3000}}, {{3300}}, {{3600}}};
    kit.panel.supply.absolute_max = {5200};
    const auto findings = explain(kit, {{"BR1", "2-3"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].severity == Severity::kDanger);
    CHECK(findings[0].consequence.find("beyond its rating") != std::string::npos);
  }

  TEST_CASE("every wrong position of every strap is named, at least as a fault") {
    const auto kit = tests::sound_kit();
    const auto expectation = tests::expectation_of(kit);
    for (std::size_t s = 0; s < kit.board.straps.size(); ++s) {
      for (const auto position : positions(kit.board.straps[s])) {
        expect::JointPosition given;
        for (const auto& expected : expectation.straps) given.emplace_back(expected.position);
        given[s] = position;
        const auto& accepted = expectation.straps[s].accepted;
        const bool right = std::ranges::find(accepted, position) != accepted.end();
        CAPTURE(kit.board.straps[s].id);
        CAPTURE(to_text(kit.board.straps[s], position));
        for (const bool alone : {false, true}) {
          CAPTURE(alone);
          if (alone) {
            given.assign(kit.board.straps.size(), std::nullopt);
            given[s] = position;
          }
          const auto findings = expect::explain(kit, expectation, given);
          CHECK(findings.empty() == right);
          for (const auto& finding : findings) {
            CHECK(finding.subject == "straps." + kit.board.straps[s].id);
            CHECK(finding.severity <= Severity::kFault);
          }
        }
      }
    }
  }

  TEST_CASE("straps each accepted in itself and wrong together name the function") {
    const auto kit = joint_kit();
    const auto expectation = tests::expectation_of(kit);
    CHECK(tests::accepted(kit.board, expectation.straps, "BR1") == "1-2 2-3");
    CHECK(tests::accepted(kit.board, expectation.straps, "BR2") == "1-2 2-3");
    const auto findings = explain(kit, {{"BR1", "2-3"}, {"BR2", "1-2"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].subject == "functions.panel-supply");
    CHECK(findings[0].severity == Severity::kDanger);
    CHECK(findings[0].actual == "12 V (BR1 at 2-3 and BR2 at 1-2)");
    CHECK(findings[0].consequence.find("BR1 at 2-3 and BR2 at 1-2 select 12 V") == 0);
    CHECK(findings[0].remedy == "Supply off, then BR1 to 1-2, BR2 to 1-2.");
  }

  TEST_CASE("a position that no row describes is undefined") {
    const auto findings = explain(tests::sound_kit(), {{"BR1", "open"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].id == FindingId::kStrapsUndefined);
    CHECK(findings[0].subject == "straps.BR1");
    CHECK(findings[0].severity == Severity::kFault);
  }

  TEST_CASE("a bridge that joins neighbouring caps is a danger to the board itself") {
    const auto kit = tests::sound_kit();
    auto given = tests::position_of(kit.board, {});
    given[0] = model::Position{0b011};  // 1-2 and 2-3
    const auto findings = expect::explain(kit, tests::expectation_of(kit), given);
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].id == FindingId::kStrapImpossible);
    CHECK(findings[0].severity == Severity::kDanger);
    CHECK(findings[0].subject == "straps.BR1");
  }

  TEST_CASE("a strap wrong whatever the others are is named though they aren't given") {
    // BR1 open: no row of panel supply has it, whatever BR2 is.
    const auto findings = explain(joint_kit(), {{"BR1", "open"}});
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].subject == "straps.BR1");
  }

  TEST_CASE("of several dangers all are told, gravest first") {
    const auto findings =
        explain(tests::sound_kit(),
                {{"BR4", "1-2"}, {"BR3", "open"}, {"S1", "1001"}, {"BR1", "3-4"}, {"BR5", "open"}});
    REQUIRE(findings.size() == 5);
    CHECK(findings[0].id == FindingId::kPanelSupplyStrap);
    CHECK(tests::find(findings, FindingId::kBitMappingStrap)->consequence.find("jeida-24") !=
          std::string::npos);
    CHECK(tests::find(findings, FindingId::kDimmingSenseStrap)->consequence.find("low-is-brighter") !=
          std::string::npos);
    CHECK(tests::find(findings, FindingId::kRasterRowStrap)->consequence.find("half a picture") !=
          std::string::npos);
    CHECK(tests::find(findings, FindingId::kKeypadPowerStrap)->severity == Severity::kFault);
  }

  TEST_CASE("a function this kit doesn't use is never wrong") {
    auto kit = tests::sound_kit();
    kit.keypad.reset();
    kit.cables.erase("W3");
    CHECK(explain(kit, {{"BR5", "open"}}).empty());
    CHECK(explain(kit, {{"BR5", "1-2"}}).empty());
  }
}
