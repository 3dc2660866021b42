#include <doctest/doctest.h>

#include "tests/host/verify/bench.hpp"

using host::model::Evidence;
using host::model::FindingId;
using host::model::Severity;
using host::verify::State;
using host::verify::Verdict;
using protocol::points::Point;
using protocol::points::Unread;

TEST_SUITE("host/verify/evidence") {
  TEST_CASE("a reading wholly outside fails, inside passes, and between is marginal") {
    struct Row {
      std::int64_t reading;
      State state;
      Verdict verdict;
    };
    // Limits 4500..5500 mV, uncertainty 1 % of the reading, rounded up.
    for (const Row& row :
         {Row{4546, State::kMatch, Verdict::kPass}, Row{4540, State::kMarginal, Verdict::kIncomplete},
          Row{4460, State::kMarginal, Verdict::kIncomplete}, Row{4450, State::kMismatch, Verdict::kFail},
          Row{5445, State::kMatch, Verdict::kPass}, Row{5500, State::kMarginal, Verdict::kIncomplete},
          Row{5560, State::kMismatch, Verdict::kFail}}) {
      CAPTURE(row.reading);
      Bench bench;
      bench.read(Point::kRailsKeypadOutMv, row.reading);
      const auto judgement = bench.judge();
      CHECK(item_of(judgement, "rails.keypad_out_mv").state == row.state);
      CHECK(judgement.verdict == row.verdict);
    }
  }

  TEST_CASE("a marginal reading passes only where the kit says so") {
    Bench bench;
    bench.read(Point::kRailsKeypadOutMv, 4540);
    CHECK(item_of(bench.judge(), "rails.keypad_out_mv").reason == "within-uncertainty");
    bench.kit.accept.marginal = true;
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.read(Point::kRailsKeypadOutMv, 4450);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("outside a warning's limit is a match with a finding") {
    Bench bench;
    bench.read(Point::kRailsPanelSelectedMv, 3450);
    bench.read(Point::kRailsPanelOutMv, 3450);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kPass);
    CHECK(item_of(judgement, "rails.panel_out_mv").state == State::kMatch);
    CHECK(finding_of(judgement, "rails.panel_out_mv")->id == FindingId::kPanelRailOffNominal);
    CHECK(finding_of(judgement, "rails.panel_out_mv")->severity == Severity::kWarning);
    CHECK(judgement.why.find("2 warnings") != std::string::npos);
  }

  TEST_CASE("the gravest limit that is broken gives the finding") {
    Bench bench;
    bench.read(Point::kRailsPanelOutMv, 5012);
    CHECK(finding_of(bench.judge(), "rails.panel_out_mv")->id == FindingId::kPanelRailHigh);
    CHECK(bench.judge().danger);
    bench.read(Point::kRailsPanelOutMv, 2500);
    CHECK(finding_of(bench.judge(), "rails.panel_out_mv")->id == FindingId::kPanelRailLow);
    CHECK_FALSE(bench.judge().danger);
  }

  TEST_CASE("a panel rail that has been too high is a danger though it is right now") {
    Bench bench;
    bench.read(Point::kRailsPanelOutMvMax, 5020);
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(judgement.danger);
    CHECK(finding_of(judgement, "rails.panel_out_mv_max")->id == FindingId::kPanelRailOver);
  }

  TEST_CASE("a sleeping unit is unread, not broken") {
    for (const std::int64_t state : {0, 1, 2, 3}) {
      CAPTURE(state);
      Bench bench;
      bench.read(Point::kPowerState, state);
      bench.read(Point::kInputLocked, 0);
      bench.read(Point::kRailsPanelOutMv, 0);
      bench.unread(Point::kBacklightEnableMv, Unread::kAsleep);
      bench.unread(Point::kPanelLinkMapping, Unread::kAsleep);
      const auto judgement = bench.judge();
      CHECK(judgement.verdict == Verdict::kIncomplete);
      for (const auto* subject :
           {"power.state", "input.locked", "rails.panel_out_mv", "backlight.enable_mv"}) {
        CAPTURE(subject);
        CHECK(item_of(judgement, subject).state == State::kUnread);
        CHECK(item_of(judgement, subject).reason == "asleep");
      }
      CHECK(judgement.findings.empty());
    }
  }

  TEST_CASE("a missing source is named as a cause outside the unit") {
    Bench bench;
    bench.read(Point::kPowerState, 2);
    const auto judgement = bench.judge();
    CHECK(judgement.next.find("outside") != std::string::npos);
    CHECK(judgement.next.find("hdmi-1") != std::string::npos);
  }

  TEST_CASE("a unit that latched itself off is broken, not asleep") {
    Bench bench;
    bench.read(Point::kPowerState, 5);
    CHECK(item_of(bench.judge(), "power.state").state == State::kMismatch);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("a rail above what destroys the panel is a danger asleep too") {
    Bench bench;
    bench.read(Point::kPowerState, 1);
    bench.read(Point::kRailsPanelOutMv, 5012);
    const auto judgement = bench.judge();
    CHECK(judgement.danger);
    CHECK(judgement.verdict == Verdict::kFail);
  }

  TEST_CASE("what is not fitted is needed only where the expectation asks for it") {
    Bench bench;
    bench.unread(Point::kSettingsBrightnessPermille, Unread::kNotFitted);
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    CHECK(item_of(bench.judge(), "settings.brightness_permille").reason == "not-fitted");
    bench.expected(Point::kSettingsBrightnessPermille).required = false;
    CHECK(bench.judge().verdict == Verdict::kPass);
  }

  TEST_CASE("a dimming line without edges is unread, and says why") {
    Bench bench;
    bench.unread(Point::kSettingsBrightnessPermille, Unread::kNoEdges);
    CHECK(item_of(bench.judge(), "settings.brightness_permille").reason == "no-edges");
  }

  TEST_CASE("what the firmware only declares is enough, but not for what can destroy a part") {
    Bench bench;
    bench.kit.board.evidence[Point::kInputLocked] = Evidence::kDeclared;
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.kit.board.evidence[Point::kRailsSupplyInMv] = Evidence::kDeclared;
    const auto judgement = bench.judge();
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item_of(judgement, "rails.supply_in_mv").reason == "not-measured");
    bench.read(Point::kRailsSupplyInMv, 31'000);
    CHECK(bench.judge().danger);
    CHECK(bench.judge().verdict == Verdict::kFail);
  }

  TEST_CASE("a point that is missing from the snapshot is not a pass") {
    const Bench whole;
    for (const auto& expected : whole.expectation.points) {
      if (!expected.required) continue;
      CAPTURE(static_cast<int>(expected.point));
      Bench bench;
      bench.snapshot.points.erase(expected.point);
      CHECK(bench.judge().verdict == Verdict::kIncomplete);
    }
  }

  TEST_CASE("a text where a number belongs is not read") {
    Bench bench;
    bench.read_text(Point::kRailsSupplyInMv, "24000");
    CHECK(item_of(bench.judge(), "rails.supply_in_mv").state == State::kUnread);
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }
}
