#include <doctest/doctest.h>

#include "tests/host/verify/bench.hpp"

using host::model::FindingId;
using host::model::Severity;
using host::verify::Consistency;
using host::verify::Verdict;
using protocol::points::Point;

TEST_SUITE("host/verify/verdict") {
  TEST_CASE("a unit that is as it should be passes, and the pass says what it can't prove") {
    const auto judgement = Bench{}.judge();
    CHECK(judgement.verdict == Verdict::kPass);
    CHECK_FALSE(judgement.danger);
    CHECK(judgement.findings.empty());
    CHECK(judgement.coverage.required == judgement.coverage.known);
    CHECK(judgement.next.find("panel bias") != std::string::npos);
  }

  TEST_CASE("an attested strap is counted in the verdict") {
    const auto judgement = Bench{}.judge();
    CHECK(judgement.coverage.attested == 2);  // the strap, and what it selects
    CHECK(judgement.why.find("by eye") != std::string::npos);
  }

  TEST_CASE("a broken line gate gives no verdict, and shows the danger all the same") {
    Bench bench;
    bench.snapshot.wire.gate_broken = true;
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(bench.judge().findings.front().id == FindingId::kLineBroken);
    bench.read(Point::kRailsPanelSelectedMv, 5012);
    bench.sense("BR1", 2);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(judgement.danger);
    CHECK(judgement.findings.front().severity == Severity::kDanger);
    CHECK(judgement.next.find("Supply off") != std::string::npos);
  }

  TEST_CASE("another serial number than asked for gives no verdict") {
    Bench bench;
    bench.demands.serial = "SN-0042";
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.demands.serial = "SN-0043";
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(finding_of(bench.judge(), "identity.serial")->id == FindingId::kWrongUnit);
    bench.sense("BR1", 2);
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    bench.read_text(Point::kIdentitySerial, "");
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("the serial number counts as read in the same snapshot, not as heard before") {
    Bench bench;
    bench.demands.serial = "SN-0042";
    bench.read_text(Point::kIdentitySerial, "SN-9999");
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a mismatch fails even though something else is unread") {
    Bench bench;
    bench.sense("BR1", 2);
    bench.unread(Point::kBacklightEnableMv, protocol::points::Unread::kNotFitted);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("a unit that dies midway is incomplete, whatever it said before") {
    Bench bench;
    bench.snapshot.trouble = "no answer after 2 of 4 reads";
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    bench.snapshot.points.clear();
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item_of(judgement, "straps.BR1").reason == "not-read");
  }

  TEST_CASE("a pass may rest on latched and bracketed readings only") {
    Bench bench;
    bench.snapshot.consistency = Consistency::kBracketed;
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.snapshot.consistency = Consistency::kTorn;
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(finding_of(bench.judge(), "snapshot")->id == FindingId::kSnapshotTorn);
    bench.snapshot.consistency = Consistency::kLoose;
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(finding_of(bench.judge(), "snapshot")->id == FindingId::kSnapshotLoose);
  }

  TEST_CASE("a loose snapshot passes where the board file gives a reason, and the reason is shown") {
    Bench bench;
    bench.snapshot.consistency = Consistency::kLoose;
    bench.kit.board.loose_accepted_because = "nothing in it moves";
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kPass);
    CHECK(finding_of(judgement, "snapshot")->consequence.find("nothing in it moves") != std::string::npos);
  }

  TEST_CASE("a mismatch in torn readings is still a fail") {
    Bench bench;
    bench.snapshot.consistency = Consistency::kTorn;
    bench.sense("S2", 0);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("a kit that can't work on paper never passes") {
    Bench bench;
    bench.expectation.findings.push_back(
        make_finding(FindingId::kSupplyTooSmall, "supply", ">= 30 W", "20 W"));
    CHECK(bench.judge().verdict == Verdict::kFail);
    bench.expectation.findings.back().severity = Severity::kWarning;
    CHECK(bench.judge().verdict == Verdict::kPass);
  }

  TEST_CASE("danger stands first, and the first words are about it") {
    Bench bench;
    bench.sense("S2", 0);
    bench.sense("BR1", 2);
    bench.read(Point::kRailsPanelSelectedMv, 5012);
    const auto judgement = bench.judge();
    CHECK(judgement.danger);
    CHECK(judgement.findings.front().subject == "straps.BR1");
    CHECK(judgement.why.find("5 V") != std::string::npos);
    CHECK(judgement.next == "Supply off, then BR1 to 1-2.");
  }

  TEST_CASE("nothing a unit says reaches a text uncleaned") {
    Bench bench;
    bench.read_text(Point::kIdentityBoard, "\x1b[2Jpass");
    bench.demands.serial = "SN\x1b[2J";
    const auto judgement = bench.judge();
    for (const auto& item : judgement.items) CHECK(item.actual.find('\x1b') == std::string::npos);
    for (const auto& finding : judgement.findings) {
      CHECK(finding.actual.find('\x1b') == std::string::npos);
      CHECK(finding.expected.find('\x1b') == std::string::npos);
    }
  }
}
