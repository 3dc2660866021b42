#include "host/verify/live.hpp"

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <span>
#include <string_view>

#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using protocol::points::Group;
using protocol::points::Layout;
using protocol::points::Point;
using protocol::points::Reading;
using Points = std::map<Point, Reading>;

constexpr int kRoundsMax = 3;

std::vector<Point> points_of(const Group& group, protocol::points::Table table) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
    const Layout& layout = protocol::points::layouts()[i];
    const bool inside =
        layout.address >= group.address && layout.address < group.address + protocol::points::kGroupSpan;
    if (inside && layout.table == table && layout.access != protocol::points::Access::kControl) {
      points.push_back(static_cast<Point>(i));
    }
  }
  return points;
}

link::Result<void> read_group(Reader& reader, const Group& group, Points& readings) {
  for (const auto table : {protocol::points::Table::kInput, protocol::points::Table::kHolding}) {
    const std::vector<Point> points = points_of(group, table);
    std::size_t count = 0;
    for (const Point point : points) {
      const Layout& layout = protocol::points::layout(point);
      count = std::max<std::size_t>(count, layout.address - group.address + register_count(layout.type));
    }
    if (count == 0) continue;
    const auto where = table == protocol::points::Table::kInput ? link::Table::kInput : link::Table::kHolding;
    const auto words = reader.read(where, group.address, static_cast<std::uint16_t>(count));
    if (!words) {
      if (words.error().fault == link::Fault::kRefused) continue;
      return tl::unexpected{words.error()};
    }
    for (const Point point : points) {
      const Layout& layout = protocol::points::layout(point);
      const std::size_t at = layout.address - group.address;
      if (at + register_count(layout.type) > words->size()) continue;
      readings[point] = decode(point, std::span{*words}.subspan(at, register_count(layout.type)));
    }
  }
  return {};
}

const Group& bracket_group() {
  const auto groups = protocol::points::groups();
  return *std::find_if(groups.begin(), groups.end(),
                       [](const Group& group) { return group.name == "snapshot"; });
}

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

link::Result<Points> read_round(Reader& reader) {
  Points readings;
  for (const Group& group : protocol::points::groups()) {
    const link::Result<void> done = read_group(reader, group, readings);
    if (!done) return tl::unexpected{done.error()};
  }
  return readings;
}

}  // namespace

link::Result<void> read_live(Reader& reader, Snapshot& snapshot) {
  Points earlier;
  for (int round = 0; round < kRoundsMax; ++round) {
    Points before;
    if (const auto done = read_group(reader, bracket_group(), before); !done) return done;
    link::Result<Points> readings = read_round(reader);
    if (!readings) return tl::unexpected{readings.error()};
    Points after;
    if (const auto done = read_group(reader, bracket_group(), after); !done) return done;
    snapshot.points = *readings;

    const bool bracketed = number(before, Point::kSnapshotBoot) && number(before, Point::kSnapshotChanges);
    if (bracketed && number(before, Point::kSnapshotBoot) == number(after, Point::kSnapshotBoot) &&
        number(before, Point::kSnapshotChanges) == number(after, Point::kSnapshotChanges)) {
      snapshot.consistency = Consistency::kBracketed;
      return {};
    }
    if (!bracketed && round > 0 && agree(earlier, *readings)) {
      snapshot.consistency = Consistency::kLoose;
      return {};
    }
    earlier = std::move(*readings);
  }
  snapshot.consistency = Consistency::kTorn;
  return {};
}

}  // namespace host::verify
