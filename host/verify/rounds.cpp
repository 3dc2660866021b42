#include "host/verify/rounds.hpp"

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <string_view>
#include <utility>

#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using protocol::points::Point;
using protocol::points::Reading;

constexpr int kRoundsMax = 3;
// What an uptime may lack of the time that has passed: its own second, and ours.
constexpr std::int64_t kUptimeSlackS = 2;

std::optional<std::int64_t> number(const Points& readings, Point point) {
  const auto found = readings.find(point);
  if (found == readings.end() || found->second.kind != Reading::Kind::kNumber) return std::nullopt;
  return found->second.number;
}

// Analogue readings move by themselves; everything else has to stand still.
bool agree(Point point, const Reading& a, const Reading& b) {
  if (a.kind != b.kind) return false;
  if (a.kind == Reading::Kind::kText) return a.text() == b.text();
  if (a.kind == Reading::Kind::kUnread) return a.unread == b.unread;
  const std::string_view unit = protocol::points::words(point).unit;
  if (unit == "s" || unit == "h") return true;
  const bool analogue = unit == "mV" || unit == "mA" || unit == "Hz" || unit == "permille" || unit == "kHz" ||
                        unit == "mHz" || unit == "m°C";
  const std::int64_t slack = analogue ? std::abs(a.number) / 50 + 10 : 0;
  return std::abs(a.number - b.number) <= slack;
}

bool agree(const Points& first, const Points& second) {
  return first.size() == second.size() && std::all_of(first.begin(), first.end(), [&](const auto& one) {
           const auto other = second.find(one.first);
           return other != second.end() && agree(one.first, one.second, other->second);
         });
}

// What tells that nothing happened between two looks: the counter of changes, and that the unit didn't start
// anew; by the number of its starts or, where it counts none, by how long it has been up.
struct Look {
  std::optional<std::int64_t> boot, uptime_s, changes;
  std::int64_t at_us = 0;

  Look(const Points& readings, const Reader& reader)
      : boot{number(readings, Point::kSnapshotBoot)},
        uptime_s{number(readings, Point::kSnapshotUptimeS)},
        changes{number(readings, Point::kSnapshotChanges)},
        at_us{reader.statistics().elapsed.count()} {}

  [[nodiscard]] bool tells() const { return changes && (boot || uptime_s); }
};

bool undisturbed(const Look& before, const Look& after) {
  if (!before.tells() || !after.tells() || before.changes != after.changes) return false;
  if (before.boot || after.boot) return before.boot == after.boot;
  const std::int64_t passed_s = (after.at_us - before.at_us) / 1'000'000;
  return *after.uptime_s >= *before.uptime_s &&
         *after.uptime_s - *before.uptime_s + kUptimeSlackS >= passed_s;
}

}  // namespace

link::Result<void> read_in_rounds(Reader& reader, PointSource& source, Snapshot& snapshot) {
  std::optional<Points> earlier;
  for (int round = 0; round < kRoundsMax; ++round) {
    const link::Result<Points> first = source.read_bracket();
    if (!first) return tl::unexpected{first.error()};
    const Look before{*first, reader};
    link::Result<Points> readings = source.read_all();
    if (!readings) return tl::unexpected{readings.error()};
    const link::Result<Points> last = source.read_bracket();
    if (!last) return tl::unexpected{last.error()};
    const Look after{*last, reader};
    snapshot.points = *readings;

    const bool twice_alike = earlier && agree(*earlier, *readings);
    if (undisturbed(before, after) && (twice_alike || !has_shown_bad_frames(reader))) {
      snapshot.consistency = Consistency::kBracketed;
      return {};
    }
    if (!before.tells() && twice_alike) {
      snapshot.consistency = Consistency::kLoose;
      return {};
    }
    earlier = std::move(*readings);
  }
  snapshot.consistency = Consistency::kTorn;
  return {};
}

}  // namespace host::verify
