#include <cmath>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "sim/world/random.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

// A day of anything: what must hold whatever happens to a unit.

using protocol::base::Duration;
using protocol::base::milliseconds;
using protocol::points::Point;
using sim::unit::BranchKind;
using sim::unit::Node;
using sim::unit::Unit;
using sim::world::Random;
using tests::sim::elm_timing;
using tests::sim::fault_setup;

namespace {

constexpr int kEvents = 1'000;
const std::vector<std::string> kFaults = {"supply-dead",
                                          "supply-low=9.5 V",
                                          "supply-low=11",
                                          "supply-brownout",
                                          "supply-reversed",
                                          "panel-fuse-open",
                                          "panel-rail-short",
                                          "panel-rail-low=4.2",
                                          "panel-rail-weak=150",
                                          "panel-rail-weak=250",
                                          "panel-rail-stays-on",
                                          "panel-supply-contact-open",
                                          "panel-cable-out",
                                          "panel-cable-marginal",
                                          "panel-pair-open=1",
                                          "panel-pair-open=clock",
                                          "panel-pair-reversed=2",
                                          "panel-bias-dead",
                                          "panel-clock-off=7",
                                          "backlight-cable-out",
                                          "backlight-supply-open",
                                          "backlight-supply-low=10",
                                          "backlight-enable-stuck=high",
                                          "backlight-enable-stuck=low",
                                          "enable-polarity-inverted",
                                          "dimming-polarity-inverted",
                                          "backlight-string-open",
                                          "pwm-stuck=0",
                                          "pwm-stuck=60",
                                          "pwm-frequency=400",
                                          "dimmed-by-sensor",
                                          "no-signal",
                                          "wrong-input",
                                          "hotplug-low",
                                          "edid-corrupt",
                                          "edid-of=small",
                                          "source-protected",
                                          "colour-space=ycbcr-444",
                                          "overheat=75",
                                          "overheat=99",
                                          "keypad-open",
                                          "keypad-stuck=3",
                                          "sequence-fast-backlight",
                                          "sense-stuck=BR2",
                                          "sense-stuck=S1",
                                          "reading-off=rails.light_out_mv,-20",
                                          "settings-lost",
                                          "settings-of=dim",
                                          "soft-off"};

std::size_t below(Random& random, std::size_t count) {
  return static_cast<std::size_t>(random.uniform() * static_cast<double>(count));
}

void happen(Unit& unit, Random& random) {
  const auto choice = below(random, 14);
  switch (choice) {
    case 0:
    case 1:
    case 2: (void)unit.inject(*sim::fault::parse_fault(kFaults[below(random, kFaults.size())])); return;
    case 3:
    case 4:
    case 5: {
      const auto faults = unit.faults();
      if (!faults.empty()) CHECK(unit.mend(faults[below(random, faults.size())].fault.kind).has_value());
      return;
    }
    case 6: unit.connect_source(std::nullopt); return;
    case 7: unit.connect_source(elm_timing()); return;
    case 8:
      unit.set_supply(host::model::Millivolts{static_cast<std::int64_t>(below(random, 31)) * 1'000});
      return;
    case 9: unit.set_supply(std::nullopt); return;
    case 10:
      (void)unit.press(1 + static_cast<int>(below(random, 5)));
      if (random.chance(0.8)) unit.release();
      return;
    case 11: unit.set_ambient({static_cast<std::int64_t>(below(random, 80)) * 1'000 - 20'000}); return;
    case 12: unit.move_strap(tests::sim::kBr4, {static_cast<std::uint16_t>(below(random, 2))}); return;
    default: unit.reset(); return;
  }
}

// What no event may break.
void look(const Unit& unit) {
  const auto& sample = unit.branches();
  double balance = 0, through = 0;
  for (std::size_t i = 0; i < sample.count; ++i) {
    const auto& branch = sample.branches[i];
    REQUIRE(std::isfinite(branch.ma));
    if (branch.kind != BranchKind::kCapacitor) REQUIRE(branch.ma >= -1e-6);
    if (branch.to == Node::kInput) balance += branch.ma;
    if (branch.from == Node::kInput) balance -= branch.ma;
    through += std::abs(branch.ma);
  }
  REQUIRE(std::abs(balance) <= 1e-3 * through + 1e-6);
  for (const double mv : sample.mv) REQUIRE(std::isfinite(mv));
  const auto& levels = unit.circuit().levels();
  REQUIRE(levels.supply_mv >= 0);
  REQUIRE(levels.supply_mv <= 31'000);
  REQUIRE(levels.light_mv <= 12'001);
  REQUIRE(levels.panel_mv <= 5'001);  // BR1 never moves
  REQUIRE(levels.dimming.duty >= 0);
  REQUIRE(levels.dimming.duty <= 1);
  REQUIRE(unit.board_degrees() > -30);
  REQUIRE(unit.board_degrees() < 110);
  if (!unit.answers()) REQUIRE_FALSE(unit.firmware().drive().panel_switch);
  if (unit.firmware().state() == sim::unit::PowerState::kLatched) REQUIRE(unit.firmware().latched() != 0);
  if (unit.firmware().drive().light) REQUIRE(unit.firmware().drive().panel_switch);
  REQUIRE(unit.truth().damaged.empty());  // nothing here goes beyond what parts bear
  REQUIRE(unit.memory().log.size() <= sim::unit::kLogEntriesMax);
  for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
    (void)unit.value(static_cast<Point>(i));
  }
}

struct Day {
  std::uint64_t steps = 0;
  sim::unit::Memory memory;
  std::vector<sim::unit::ActiveFault> faults;
  double board_degrees = 0;
};

Day live_a_day(std::uint64_t seed) {
  Unit unit{fault_setup()};
  Random random{seed};
  constexpr Duration kDay = milliseconds(86'400'000);
  for (int event = 1; event <= kEvents; ++event) {
    const Duration until = kDay / kEvents * event;
    unit.advance(protocol::base::Instant{} + until);
    look(unit);
    happen(unit, random);
    unit.advance(unit.now() + milliseconds(static_cast<std::int64_t>(below(random, 700))));
    look(unit);
  }
  return {unit.steps(), unit.memory(), unit.faults(), unit.board_degrees()};
}

}  // namespace

TEST_SUITE("sim/unit/day") {
  TEST_CASE("a day with a thousand events breaks nothing, and takes fine steps only while something moves") {
    constexpr std::uint64_t kSeed = 20'261'127;
    CAPTURE(kSeed);
    const Day day = live_a_day(kSeed);
    CAPTURE(day.steps);
    // Ten looks a second are 864,000; a step of 0.1 ms all day would be 864 million.
    CHECK(day.steps > 864'000);
    CHECK(day.steps < 30'000'000);
    CHECK(day.memory.boot > 20);
    CHECK(day.memory.log_written > 1'000);
  }

  TEST_CASE("the same events give the same day") {
    auto hour = [](std::uint64_t seed) {
      Unit unit{fault_setup()};
      Random random{seed};
      for (int event = 0; event < 100; ++event) {
        happen(unit, random);
        tests::sim::live(unit, milliseconds(static_cast<std::int64_t>(below(random, 5'000))));
      }
      return std::make_tuple(unit.steps(), unit.memory(), unit.board_degrees(),
                             unit.circuit().levels().supply_mv);
    };
    CHECK(hour(7) == hour(7));
    CHECK(hour(7) != hour(8));
  }
}
