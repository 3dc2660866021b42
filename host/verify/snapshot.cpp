#include "host/verify/snapshot.hpp"

#include "protocol/points/words.hpp"

namespace host::verify {

using protocol::points::Point;
using protocol::points::Reading;

std::string_view to_text(Consistency consistency) {
  switch (consistency) {
    case Consistency::kLatched: return "latched";
    case Consistency::kBracketed: return "bracketed";
    case Consistency::kLoose: return "loose";
    case Consistency::kTorn: break;
  }
  return "torn";
}

std::string_view to_text(protocol::points::Unread unread) {
  switch (unread) {
    case protocol::points::Unread::kAsleep: return "asleep";
    case protocol::points::Unread::kNoEdges: return "no-edges";
    case protocol::points::Unread::kNotFitted: break;
  }
  return "not-fitted";
}

const Reading* reading_of(const Snapshot& snapshot, Point point) {
  const auto found = snapshot.points.find(point);
  return found == snapshot.points.end() ? nullptr : &found->second;
}

std::optional<std::int64_t> number_of(const Snapshot& snapshot, Point point) {
  const Reading* reading = reading_of(snapshot, point);
  if (reading == nullptr || reading->kind != Reading::Kind::kNumber) return std::nullopt;
  return reading->number;
}

bool awake(const Snapshot& snapshot) {
  const std::optional<std::int64_t> state = number_of(snapshot, Point::kPowerState);
  return !state || protocol::points::choice(Point::kPowerState, *state) == "on";
}

}  // namespace host::verify
