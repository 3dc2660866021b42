#include <algorithm>

#include <doctest/doctest.h>

#include "tests/host/verify/bench.hpp"

using host::model::Evidence;
using host::model::FindingId;
using host::model::Severity;
using host::verify::State;
using host::verify::Verdict;
using protocol::points::Point;
using protocol::points::Unread;

namespace {

constexpr std::uint16_t kOpen = 0;
constexpr std::uint16_t kPins12 = 1;
constexpr std::uint16_t kPins23 = 2;

}  // namespace

TEST_SUITE("host/verify/straps") {
  TEST_CASE("a sensed strap in a wrong position fails by name, with what it does and how to mend it") {
    Bench bench;
    bench.sense("BR1", kPins23);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(item_of(judgement, "straps.BR1").state == State::kMismatch);
    CHECK(item_of(judgement, "straps.BR1").actual == "2-3");
    const auto* finding = finding_of(judgement, "straps.BR1");
    REQUIRE(finding != nullptr);
    CHECK(finding->id == FindingId::kPanelSupplyStrap);
    CHECK(finding->severity == Severity::kDanger);
    CHECK(finding->expected == "1-2");
    CHECK(finding->remedy == "Supply off, then BR1 to 1-2.");
  }

  TEST_CASE("every position that isn't accepted fails and names the strap or its function") {
    const Bench whole;
    for (std::size_t s = 0; s < whole.kit.board.straps.size(); ++s) {
      const auto& strap = whole.kit.board.straps[s];
      if (strap.evidence == Evidence::kUnread || !whole.expectation.straps[s].required) continue;
      for (const auto position : host::model::positions(strap)) {
        const auto& accepted = whole.expectation.straps[s].accepted;
        if (std::find(accepted.begin(), accepted.end(), position) != accepted.end()) continue;
        CAPTURE(strap.id);
        CAPTURE(position.bits);
        Bench bench;
        bench.sense(strap.id, position.bits);
        const auto judgement = bench.judge();
        CHECK(judgement.verdict == Verdict::kFail);
        CHECK(finding_of(judgement, "straps." + strap.id) != nullptr);
      }
    }
  }

  TEST_CASE("straps that are each accepted and select nothing together fail as their function") {
    Bench bench;
    bench.sense("BR3", kPins12);  // right with S2 at 11
    bench.sense("S2", 1);         // right with BR3 open
    const auto judgement = bench.judge();
    CHECK(item_of(judgement, "straps.BR3").state == State::kMatch);
    CHECK(item_of(judgement, "straps.S2").state == State::kMatch);
    CHECK(item_of(judgement, "functions.bit-mapping").state == State::kMismatch);
    const auto* finding = finding_of(judgement, "functions.bit-mapping");
    REQUIRE(finding != nullptr);
    CHECK(finding->id == FindingId::kStrapsUndefined);
    CHECK(finding->actual.find("BR3") != std::string::npos);
    CHECK(finding->actual.find("S2") != std::string::npos);
    CHECK(judgement.verdict == Verdict::kFail);
  }

  TEST_CASE("an equivalent position is a match") {
    Bench bench;
    bench.sense("BR3", kPins12);
    bench.sense("S2", 3);
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.sense("BR3", kOpen);
    CHECK(bench.judge().verdict == Verdict::kPass);
  }

  TEST_CASE("a strap the kit doesn't use may stand anywhere, and need not be read") {
    Bench bench;
    bench.sense("BR9", kPins12);
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.unread(protocol::points::strap_point(4), Unread::kNotFitted);
    CHECK(bench.judge().verdict == Verdict::kPass);
  }

  TEST_CASE("a strap whose word is unread leaves its function unread") {
    Bench bench;
    bench.unread(protocol::points::strap_point(2), Unread::kNotFitted);
    const auto judgement = bench.judge();
    CHECK(item_of(judgement, "straps.BR3").reason == "not-fitted");
    CHECK(item_of(judgement, "functions.bit-mapping").state == State::kUnread);
    CHECK(judgement.verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a word no strap can have is a danger") {
    for (const auto word :
         {std::uint16_t{3}, std::uint16_t{4}, std::uint16_t{0x8001}}) {  // two caps on pin 2; a fourth pin
      CAPTURE(word);
      Bench bench;
      bench.sense("BR1", word);
      const auto judgement = bench.judge();
      CHECK(judgement.verdict == Verdict::kFail);
      CHECK(judgement.danger);
      CHECK(finding_of(judgement, "straps.BR1")->id == FindingId::kStrapImpossible);
    }
  }

  TEST_CASE("a strap that isn't sensed is inferred from what only its position measures") {
    const auto judgement = Bench{}.judge();
    CHECK(item_of(judgement, "straps.BR5").state == State::kMatch);
    CHECK(item_of(judgement, "straps.BR5").evidence == Evidence::kInferred);
    CHECK(item_of(judgement, "straps.BR5").actual == "1-2");
  }

  TEST_CASE("a measurement that only a wrong position has fails that strap") {
    Bench bench;
    bench.read(Point::kRailsKeypadOutMv, 12);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(item_of(judgement, "straps.BR5").state == State::kMismatch);
    CHECK(item_of(judgement, "straps.BR5").actual == "open");
    CHECK(finding_of(judgement, "straps.BR5")->id == FindingId::kKeypadPowerStrap);
    CHECK(finding_of(judgement, "straps.BR5")->severity == Severity::kFault);
  }

  TEST_CASE("a strap neither sensed nor inferred is incomplete, with where to look") {
    Bench bench;
    bench.demands.attestations.clear();
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item_of(judgement, "straps.BR7").reason == "not-sensed");
    CHECK(judgement.next.find("BR7") != std::string::npos);
    CHECK(judgement.next.find("white cap beside X4") != std::string::npos);
    CHECK(judgement.next.find("--attest BR7=") != std::string::npos);
  }

  TEST_CASE("a person's word counts only where the kit takes it") {
    Bench bench;
    CHECK(item_of(bench.judge(), "straps.BR7").evidence == Evidence::kAttested);
    bench.kit.accept.attested = {"BR5"};
    CHECK(item_of(bench.judge(), "straps.BR7").state == State::kUnread);
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a wrong position that a person saw fails, whether the kit takes such words or not") {
    for (const bool taken : {true, false}) {
      CAPTURE(taken);
      Bench bench;
      bench.demands.attestations.clear();
      bench.attest("BR7", kPins12);
      if (!taken) bench.kit.accept.attested.clear();
      const auto judgement = bench.judge();
      CHECK(judgement.verdict == Verdict::kFail);
      CHECK(finding_of(judgement, "straps.BR7")->id == FindingId::kScanDirectionStrap);
    }
  }

  TEST_CASE("a person who sees another position than is sensed is not talked down") {
    Bench bench;
    bench.attest("BR1", kPins23);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(finding_of(judgement, "straps.BR1") != nullptr);
  }

  TEST_CASE("a word never stands in for a measurement where a part can be destroyed") {
    Bench bench;
    bench.kit.board.straps[0].evidence = Evidence::kUnread;
    bench.kit.accept.attested.emplace_back("BR1");
    bench.attest("BR1", kPins12);
    bench.unread(Point::kRailsPanelSelectedMv, Unread::kNotFitted);
    bench.expected(Point::kRailsPanelSelectedMv).required = false;
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item_of(judgement, "straps.BR1").reason == "not-measured");
    CHECK(item_of(judgement, "functions.panel-supply").reason == "not-measured");
  }

  TEST_CASE("a strap read at reset counts for a destroying function only when its rail was measured") {
    Bench bench;
    CHECK(item_of(bench.judge(), "straps.BR4").evidence == Evidence::kAtReset);
    CHECK(item_of(bench.judge(), "functions.light-supply").evidence == Evidence::kMeasured);
    bench.unread(Point::kRailsLightOutMv, Unread::kNotFitted);
    bench.expected(Point::kRailsLightOutMv).required = false;
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item_of(judgement, "straps.BR4").reason == "not-measured");
    bench.sense("BR4", kPins12);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("even a live sense needs the measurement where a part can be destroyed") {
    Bench bench;
    bench.unread(Point::kRailsPanelSelectedMv, Unread::kNotFitted);
    bench.expected(Point::kRailsPanelSelectedMv).required = false;
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(item_of(bench.judge(), "functions.panel-supply").reason == "not-measured");
  }

  TEST_CASE("a rail that contradicts a sensed strap is a mismatch of its own") {
    Bench bench;
    bench.read(Point::kRailsPanelSelectedMv, 5012);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(judgement.danger);
    CHECK(item_of(judgement, "straps.BR1").state == State::kMatch);
    CHECK(item_of(judgement, "functions.panel-supply").state == State::kMismatch);
    CHECK(finding_of(judgement, "functions.panel-supply")->consequence.find("contradict") !=
          std::string::npos);
    CHECK(finding_of(judgement, "rails.panel_selected_mv")->id == FindingId::kPanelRailHigh);
  }

  TEST_CASE("a rail that sags inside its load's window contradicts nothing") {
    Bench bench;
    bench.read(Point::kRailsLightOutMv, 11'100);  // under the board's own 12 V - 3 %, over the load's 10.8 V
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kPass);
  }

  TEST_CASE("on another board nothing is said about straps, and it fails as the wrong board") {
    Bench bench;
    bench.read_text(Point::kIdentityBoard, "poplar");
    bench.sense("BR1", kPins23);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(finding_of(judgement, "straps.BR1") == nullptr);
    CHECK(finding_of(judgement, "identity.board")->id == FindingId::kBoardDiffers);
  }
}
