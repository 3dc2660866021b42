#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

enum class Consistency { kLatched, kBracketed, kLoose, kTorn };

/// "latched", "bracketed", "loose", "torn".
[[nodiscard]] std::string_view to_text(Consistency consistency);

/// What the link did while the snapshot was taken.
struct Wire {
  std::int64_t transactions = 0, bytes = 0, retries = 0, elapsed_us = 0;
  std::int64_t bad_frames = 0, stray_octets = 0;
  bool gate_broken = false;  // more than 10 % bad frames: no verdict
};

/// Who answered. Texts are cleaned.
struct UnitIdentity {
  int address = 1;
  std::string serial, model, firmware, board;
};

/// The kit that a set of readings was taken with, where they come out of a document.
struct TakenWith {
  std::string kit, revision, digest;  // cleaned
};

/// One set of readings of one unit.
struct Snapshot {
  Consistency consistency = Consistency::kTorn;
  std::uint16_t generation = 0;
  UnitIdentity unit;
  std::map<protocol::points::Point, protocol::points::Reading> points;  // those the unit's profile has
  std::vector<std::uint8_t> edid;  // of the kit's input, as the unit holds it; empty where it has none
  bool edid_unreadable = false;    // it has one, and failed to read it
  Wire wire;
  std::string trouble;          // why the set is not whole: "no answer after 3 of 5 reads"; empty if whole
  std::string trouble_remedy;   // what to do about it; empty where nothing better than the usual is known
  bool shared_address = false;  // it is not, for two units answer at the address
  std::optional<TakenWith> taken_with;  // nothing of what was read just now
};

/// The reading of a point, or nullptr when the snapshot has none.
[[nodiscard]] const protocol::points::Reading* reading_of(const Snapshot& snapshot,
                                                          protocol::points::Point point);

/// The number a point read, or nothing when it is unread, a text or not in the snapshot.
[[nodiscard]] std::optional<std::int64_t> number_of(const Snapshot& snapshot, protocol::points::Point point);

/// Whether the unit shows a picture as far as its power state says. A unit that has no power state counts as
/// awake: its readings speak for themselves.
[[nodiscard]] bool awake(const Snapshot& snapshot);

/// "asleep", "no-edges", "not-fitted".
[[nodiscard]] std::string_view to_text(protocol::points::Unread unread);

}  // namespace host::verify
