#include "host/verify/foreign.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "host/expect/expectation.hpp"
#include "host/model/catalogue.hpp"
#include "host/verify/acquire.hpp"
#include "host/verify/judgement.hpp"
#include "tests/host/verify/foreign_unit.hpp"
#include "tests/support/run_program.hpp"

using host::model::Kit;
using host::verify::Consistency;
using host::verify::Judgement;
using host::verify::Snapshot;
using host::verify::State;
using host::verify::Verdict;
using protocol::points::Point;

namespace {

Kit control_wall() {
  const auto kit = host::model::load_kit("control-wall", {tests::support::source_path("host/catalog")});
  REQUIRE(kit.has_value());
  return *kit;
}

host::link::Result<Snapshot> acquired(ForeignUnit& unit, const Kit& kit) {
  return host::verify::acquire(unit, {.address = 3, .owner = 5, .edid_input = {}, .foreign = &kit.board});
}

Snapshot taken(ForeignUnit& unit, const Kit& kit) {
  const auto snapshot = acquired(unit, kit);
  REQUIRE(snapshot.has_value());
  return *snapshot;
}

Judgement judged(const Snapshot& snapshot, const Kit& kit, const host::verify::Demands& demands = {}) {
  const auto expectation = host::expect::derive(kit);
  REQUIRE(expectation.has_value());
  return judge(kit, *expectation, snapshot, demands);
}

const host::verify::Item& item(const Judgement& judgement, std::string_view subject) {
  const auto found = std::find_if(judgement.items.begin(), judgement.items.end(),
                                  [&](const auto& one) { return one.subject == subject; });
  REQUIRE(found != judgement.items.end());
  return *found;
}

// A board without the counters that tell whether anything happened between two reads.
void forget_bracket(Kit& kit) {
  std::erase_if(kit.board.registers, [](const auto& one) {
    return one.point == Point::kSnapshotUptimeS || one.point == Point::kSnapshotChanges;
  });
}

}  // namespace

TEST_SUITE("host/verify/foreign") {
  TEST_CASE("a sound unit of another house's board is read by its own map, bracketed, and passes") {
    const Kit kit = control_wall();
    ForeignUnit unit;
    const Snapshot snapshot = taken(unit, kit);
    CHECK(snapshot.consistency == Consistency::kBracketed);
    CHECK(snapshot.unit.serial == "4310482");
    CHECK(snapshot.unit.firmware == "7\".4");
    CHECK(snapshot.unit.board.empty());
    CHECK(number_of(snapshot, Point::kSnapshotUptimeS) == 3601);  // 3600.5, to the nearest
    CHECK(number_of(snapshot, Point::kRailsSupplyInMv) == 24'010);
    CHECK(number_of(snapshot, Point::kRailsPanelOutMa) == 640);
    CHECK(number_of(snapshot, Point::kBacklightEnableMv) == 4990);
    CHECK(number_of(snapshot, Point::kBacklightPwmFrequencyHz) == 240);
    CHECK(number_of(snapshot, Point::kBacklightPwmDutyPermille) == 812);
    CHECK(number_of(snapshot, Point::kInputPixelClockKhz) == 241'500);
    CHECK(number_of(snapshot, Point::kInputLocked) == 1);
    CHECK(number_of(snapshot, Point::kSettingsBrightnessPermille) == 800);
    CHECK(snapshot.points.size() == kit.board.registers.size());
    const Judgement judgement = judged(snapshot, kit);
    INFO(judgement.why);
    CHECK(judgement.verdict == Verdict::kPass);
    CHECK(unit.written == 0);
    CHECK(unit.identified == 0);  // its file says that it can't
  }

  TEST_CASE("every read stays inside the ranges and the count the board's file allows, few and unlike") {
    const Kit kit = control_wall();
    ForeignUnit unit;
    (void)taken(unit, kit);
    CHECK(unit.reads.size() <= 8);
    for (std::size_t i = 0; i < unit.reads.size(); ++i) {
      const auto& [from, count] = unit.reads[i];
      CAPTURE(from.first);
      CAPTURE(from.second);
      CAPTURE(count);
      CHECK(count <= kit.board.wire.registers_max);
      if (from.first == 4) CHECK(from.second + count <= 128);
      if (from.first == 3) CHECK((from.second >= 200 && from.second + count <= 208));
      if (from.first == 2) CHECK(from.second + count <= 16);
      if (i > 0) CHECK((unit.reads[i - 1].second != count || unit.reads[i - 1].first.first != from.first));
    }
  }

  TEST_CASE("a value of several registers comes by one read, however short the reads have to be") {
    Kit kit = control_wall();
    for (const int most : {4, 5, 7, 30}) {
      CAPTURE(most);
      kit.board.wire.registers_max = most;
      ForeignUnit unit;
      const Snapshot snapshot = taken(unit, kit);
      CHECK(judged(snapshot, kit).verdict == Verdict::kPass);
      for (const auto& one : kit.board.registers) {
        CAPTURE(one.address);
        const int table = one.table == host::model::RegisterTable::kInputs    ? 4
                          : one.table == host::model::RegisterTable::kHolding ? 3
                                                                              : 2;
        // The last read that touches it says what it is.
        const auto last = std::find_if(unit.reads.rbegin(), unit.reads.rend(), [&](const auto& read) {
          return read.first.first == table && read.first.second < one.address + one.words() &&
                 read.first.second + read.second > one.address;
        });
        REQUIRE(last != unit.reads.rend());
        CHECK(last->first.second <= one.address);
        CHECK(last->first.second + last->second >= one.address + one.words());
        CHECK(last->second <= most);
      }
    }
  }

  TEST_CASE("where no readable range is named, nothing is read that holds no point") {
    Kit kit = control_wall();
    kit.board.wire.readable.clear();
    ForeignUnit unit;
    for (std::uint16_t at = 0; at < 208; ++at) {
      for (const int table : {2, 3, 4}) {
        if (!unit.cells.contains({table, at})) unit.refused.insert({table, at});
      }
    }
    const Snapshot snapshot = taken(unit, kit);
    CHECK(snapshot.points.size() == kit.board.registers.size());
    CHECK(judged(snapshot, kit).verdict == Verdict::kPass);
  }

  TEST_CASE("one wrong rail fails and is named") {
    const Kit kit = control_wall();
    ForeignUnit unit;
    unit.cells[{4, 19}] = 502;  // 5 V where 12 V belong
    const Judgement judgement = judged(taken(unit, kit), kit);
    CHECK(judgement.verdict == Verdict::kFail);
    CHECK(item(judgement, "rails.panel_out_mv").state == State::kMismatch);
    CHECK(item(judgement, "rails.panel_out_mv").actual == "5020 mV");
  }

  TEST_CASE("a register the board refuses is not fitted, and what needs it is not known") {
    const Kit kit = control_wall();
    ForeignUnit unit;
    unit.refused = {{4, 19}};
    const Judgement judgement = judged(taken(unit, kit), kit);
    CHECK(judgement.verdict == Verdict::kIncomplete);
    CHECK(item(judgement, "rails.panel_out_mv").reason == "not-fitted");
    CHECK(item(judgement, "rails.panel_selected_mv").state == State::kMatch);
    CHECK(item(judgement, "rails.panel_out_ma").state == State::kMatch);
  }

  TEST_CASE("a change between the reads is noticed; one that goes on leaves no verdict") {
    const Kit kit = control_wall();
    ForeignUnit unit;
    unit.changes_step = 1;
    const Snapshot snapshot = taken(unit, kit);
    CHECK(snapshot.consistency == Consistency::kTorn);
    CHECK(judged(snapshot, kit).verdict == Verdict::kIncomplete);
  }

  TEST_CASE("without counters the set is loose: no pass, unless the board file accepts it and says why") {
    Kit kit = control_wall();
    forget_bracket(kit);
    ForeignUnit unit;
    const Snapshot snapshot = taken(unit, kit);
    CHECK(snapshot.consistency == Consistency::kLoose);
    CHECK(judged(snapshot, kit).verdict == Verdict::kIncomplete);
    kit.board.loose_accepted_because = "its readings stand still";
    CHECK(judged(snapshot, kit).verdict == Verdict::kPass);
  }

  TEST_CASE("a change counter alone is no bracket: a unit that started anew counts from zero") {
    Kit kit = control_wall();
    std::erase_if(kit.board.registers, [](const auto& one) { return one.point == Point::kSnapshotUptimeS; });
    ForeignUnit unit;
    CHECK(taken(unit, kit).consistency == Consistency::kLoose);
  }

  TEST_CASE("a unit that can't tell its serial number is never the one that was scanned") {
    Kit kit = control_wall();
    ForeignUnit unit;
    CHECK(judged(taken(unit, kit), kit, {.attestations = {}, .serial = "4310482"}).verdict == Verdict::kPass);
    CHECK(judged(taken(unit, kit), kit, {.attestations = {}, .serial = "4310483"}).verdict ==
          Verdict::kIncomplete);
    std::erase_if(kit.board.registers, [](const auto& one) { return one.point == Point::kIdentitySerial; });
    const Snapshot nameless = taken(unit, kit);
    CHECK(judged(nameless, kit).verdict == Verdict::kPass);
    CHECK(judged(nameless, kit, {.attestations = {}, .serial = "4310482"}).verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a product that is named is held against what the unit says of itself") {
    Kit kit = control_wall();
    kit.board.wire.identification = true;
    kit.board.wire.product = "quad-7";
    ForeignUnit unit;
    unit.objects = host::link::DeviceObjects{{0, "Another House"}, {1, "quad-7"}, {2, "7.4"}};
    const Snapshot right = taken(unit, kit);
    CHECK(right.unit.model == "quad-7");
    CHECK(right.unit.board == "maple");
    CHECK(judged(right, kit).verdict == Verdict::kPass);
    unit.objects = host::link::DeviceObjects{{0, "Another House"}, {1, "quad-8"}};
    const Judgement other = judged(taken(unit, kit), kit);
    CHECK(other.verdict == Verdict::kFail);
    CHECK(item(other, "straps.BR1").reason == "other-board");
    unit.objects.reset();
    CHECK(judged(taken(unit, kit), kit).verdict == Verdict::kIncomplete);
  }

  TEST_CASE("a unit of this project's profile, or one with none of the registers, is no such board") {
    Kit kit = control_wall();
    kit.board.wire.identification = true;
    ForeignUnit unit;
    unit.objects = host::link::DeviceObjects{{0, "Depot"}, {0x80, "strapline"}, {0x81, "1.0"}};
    const auto ours = acquired(unit, kit);
    REQUIRE_FALSE(ours.has_value());
    CHECK(ours.error().exit_code == 65);
    CHECK(unit.reads.empty());
    unit.objects.reset();
    for (const auto& [place, word] : unit.cells) unit.refused.insert(place);
    const auto none = acquired(unit, kit);
    REQUIRE_FALSE(none.has_value());
    CHECK(none.error().exit_code == 65);
    CHECK(none.error().message.find("none of the registers of board maple") != std::string::npos);
  }
}
