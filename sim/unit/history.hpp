#pragma once

#include <cstddef>
#include <deque>
#include <optional>

#include "protocol/base/time.hpp"

namespace sim::unit {

/// What changes by itself in front of someone who watches.
struct Moment {
  bool panel_runs = false;  // its electronics
  bool data = false;        // reaches the panel
  bool message = false;     // and shows the board's own words
  bool lit = false;
  int light_percent = 0;  // of full brightness, in steps of five
  bool asleep = false;    // the processor runs, and nothing is switched on for want of a source
  friend bool operator==(const Moment&, const Moment&) = default;
};

/// The last changes of what can be watched, when someone last did something to the unit, and what its glass
/// has kept of pictures past.
class History {
 public:
  struct Entry {
    protocol::base::Instant since{};
    Moment moment;
  };
  static constexpr std::size_t kEntriesMax = 256;  // older ones are forgotten

  /// So it is now. Costs a comparison while nothing changes.
  void observe(const Moment& moment, protocol::base::Instant now) {
    if (entries_.empty() || !(entries_.back().moment == moment)) change(moment, now);
  }
  /// A hand has been at the unit: what was so before was before.
  void acted(protocol::base::Instant now) { acted_at_ = now; }

  /// Oldest first; none before the first step.
  [[nodiscard]] const std::deque<Entry>& entries() const { return entries_; }
  [[nodiscard]] protocol::base::Instant acted_at() const { return acted_at_; }

  /// How much of an old picture the glass keeps, 0..1. A panel that is supplied without data has direct
  /// voltage on its glass: it takes on a residue, to 63 % in 20 s, and loses it again, to 37 % in 60 s, while
  /// it is driven or off. Source  common practice, no source.
  [[nodiscard]] double residue(protocol::base::Instant now) const;

 private:
  void change(const Moment& moment, protocol::base::Instant now);

  std::deque<Entry> entries_;
  protocol::base::Instant acted_at_{};
  protocol::base::Instant residue_at_{};
  double residue_ = 0;
};

}  // namespace sim::unit
