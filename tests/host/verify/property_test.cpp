#include <optional>
#include <random>

#include <doctest/doctest.h>

#include "tests/host/verify/bench.hpp"

using host::verify::Consistency;
using host::verify::Verdict;
using protocol::points::Point;
using protocol::points::Reading;
using protocol::points::Unread;

namespace {

std::optional<std::int64_t> number(const Bench& bench, Point point) {
  const auto found = bench.snapshot.points.find(point);
  if (found == bench.snapshot.points.end() || found->second.kind != Reading::Kind::kNumber)
    return std::nullopt;
  return found->second.number;
}

bool is(const Bench& bench, Point point, std::int64_t value) {
  return number(bench, point) == value;
}

// Whole uncertainty inside, in tenths of a unit so that 1 % needs no rounding up to whole ones.
bool inside(const Bench& bench, Point point, std::int64_t min, std::int64_t max) {
  const auto reading = number(bench, point);
  if (!reading) return false;
  const std::int64_t half_width = (*reading + 99) / 100;
  return *reading - half_width >= min && *reading + half_width <= max;
}

bool absent_or(const Bench& bench, std::uint16_t index, std::uint16_t word) {
  const auto reading = number(bench, protocol::points::strap_point(index));
  return !reading || *reading == word;
}

// What the bench's kit needs for a pass, written down once more and by hand.
bool may_pass(const Bench& bench) {
  const auto br3 = number(bench, protocol::points::strap_point(2));
  const auto s2 = number(bench, protocol::points::strap_point(3));
  const auto br9 = number(bench, protocol::points::strap_point(4));
  const auto highest = number(bench, Point::kRailsPanelOutMvMax);
  const bool mapping_straps = br3 && s2 && ((*br3 == 0 && (*s2 == 1 || *s2 == 3)) || (*br3 == 1 && *s2 == 3));
  const bool whole = (bench.snapshot.consistency == Consistency::kLatched ||
                      bench.snapshot.consistency == Consistency::kBracketed) &&
                     bench.snapshot.trouble.empty() && !bench.snapshot.wire.gate_broken;
  const auto name = bench.snapshot.points.find(Point::kIdentityBoard);
  const bool own_board = name != bench.snapshot.points.end() && name->second.kind == Reading::Kind::kText &&
                         name->second.text() == "willow";
  const bool seen =
      !bench.demands.attestations.empty() && bench.demands.attestations.back().position.bits == 0;
  return whole && own_board && seen && mapping_straps && absent_or(bench, 0, 1) && absent_or(bench, 1, 2) &&
         (!br9 || *br9 <= 1) && is(bench, Point::kPowerState, 4) &&
         inside(bench, Point::kRailsSupplyInMv, 10'800, 28'000) &&
         inside(bench, Point::kRailsPanelSelectedMv, 3000, 3600) &&
         inside(bench, Point::kRailsPanelOutMv, 3000, 3600) &&
         (!highest || *highest - (*highest + 99) / 100 <= 4000) &&
         inside(bench, Point::kRailsLightOutMv, 10'800, 13'200) &&
         inside(bench, Point::kRailsKeypadOutMv, 4500, 5500) &&
         number(bench, Point::kBacklightEnableMv).value_or(0) >= 2000 && is(bench, Point::kInputLocked, 1) &&
         is(bench, Point::kPanelLinkMapping, 2) && is(bench, Point::kSettingsBrightnessPermille, 800);
}

template <typename T>
const T& pick(std::mt19937& random, const std::vector<T>& from) {
  return from[std::uniform_int_distribution<std::size_t>{0, from.size() - 1}(random)];
}

void spoil(Bench& bench, std::mt19937& random) {
  static const std::vector<Point> points = {
      Point::kPowerState,         Point::kRailsSupplyInMv, Point::kRailsPanelSelectedMv,
      Point::kRailsPanelOutMv,    Point::kRailsLightOutMv, Point::kRailsKeypadOutMv,
      Point::kBacklightEnableMv,  Point::kInputLocked,     Point::kPanelLinkMapping,
      Point::kRailsPanelOutMvMax, Point::kIdentityBoard,   Point::kSettingsBrightnessPermille,
      Point::kStrapsStrap0,       Point::kStrapsStrap1,    Point::kStrapsStrap2,
      Point::kStrapsStrap3,       Point::kStrapsStrap4};
  static const std::vector<std::int64_t> numbers = {
      0,    1,    2,    3,    4,    5,    800,    2000,   2990,   3030,   3300,   3565,   3600,  4005,
      4540, 5000, 5445, 5500, 9000, 11'0, 11'100, 12'000, 13'100, 13'200, 24'000, 28'000, 40'000};
  switch (std::uniform_int_distribution<int>{0, 9}(random)) {
    case 0: bench.snapshot.points.erase(pick(random, points)); break;
    case 1:
      bench.unread(pick(random, points),
                   pick<Unread>(random, {Unread::kNotFitted, Unread::kAsleep, Unread::kNoEdges}));
      break;
    case 2:
      bench.snapshot.consistency = pick<Consistency>(
          random, {Consistency::kLatched, Consistency::kBracketed, Consistency::kLoose, Consistency::kTorn});
      break;
    case 3: bench.snapshot.trouble = pick<std::string>(random, {"", "no answer"}); break;
    case 4: bench.snapshot.wire.gate_broken = pick<int>(random, {0, 1}) == 1; break;
    case 5: bench.attest("BR7", pick<std::uint16_t>(random, {0, 1})); break;
    case 6: bench.read_text(pick(random, points), pick<std::string>(random, {"", "willow", "poplar"})); break;
    default: bench.read(pick(random, points), pick(random, numbers)); break;
  }
}

}  // namespace

TEST_SUITE("host/verify/property") {
  TEST_CASE("whatever is wrong, a pass is given exactly when everything needed is in order") {
    int passes = 0;
    for (unsigned seed = 0; seed < 3'000; ++seed) {
      CAPTURE(seed);
      std::mt19937 random{seed};
      Bench bench;
      const int defects = std::uniform_int_distribution<int>{0, 3}(random);
      for (int i = 0; i < defects; ++i) spoil(bench, random);
      const auto judgement = bench.judge();
      CAPTURE(judgement.why);
      const bool pass = judgement.verdict == Verdict::kPass;
      REQUIRE(pass == may_pass(bench));
      passes += pass ? 1 : 0;
    }
    CHECK(passes > 600);
    CHECK(passes < 2400);
  }
}
