#pragma once

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "protocol/base/time.hpp"

namespace sim::world {

using protocol::base::Duration;
using protocol::base::Instant;

/// What is to happen, in order of time; events of the same instant come in the order they were scheduled.
template <typename Event>
class EventQueue {
 public:
  void schedule(Instant at, Event event) {
    const auto later = [](Instant a, const Entry& b) { return a < b.first; };
    entries_.insert(std::upper_bound(entries_.begin(), entries_.end(), at, later), {at, std::move(event)});
  }

  /// When the next event is due.
  [[nodiscard]] std::optional<Instant> next() const {
    return entries_.empty() ? std::nullopt : std::optional{entries_.front().first};
  }

  /// Takes the next event out if it is due at `now`.
  [[nodiscard]] std::optional<Event> pop(Instant now) {
    if (entries_.empty() || entries_.front().first > now) return std::nullopt;
    Event event = std::move(entries_.front().second);
    entries_.erase(entries_.begin());
    return event;
  }

  void clear() { entries_.clear(); }

 private:
  using Entry = std::pair<Instant, Event>;
  std::vector<Entry> entries_;
};

}  // namespace sim::world
