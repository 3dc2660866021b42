#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "sim/line/character.hpp"
#include "sim/line/noise.hpp"
#include "sim/world/random.hpp"

namespace sim::line {

/// How often each fault struck. A fault that was asked for and counts nothing did not happen.
struct Hits {
  std::uint64_t bits_flipped = 0;
  std::uint64_t octets_damaged = 0;  // the unit's receiver saw a parity or framing error
  std::uint64_t answers_dropped = 0;
  std::uint64_t answers_doubled = 0;
  std::uint64_t answers_delayed = 0;
  std::uint64_t pieces_held = 0;  // handed on late by the adapter
  std::uint64_t octets_echoed = 0;
  std::uint64_t gaps_short = 0;  // transmissions of the host that began inside t3.5 of what went before
  std::uint64_t collisions = 0;  // two spoke at once
};

/// What a line is made of, beside its noise.
struct Wire {
  CharacterFormat host, unit;  // what each end is set to
  bool paced = false;          // octets take the time they take; else they arrive at once
};

/// What reaches a unit at one instant.
struct Arrival {
  protocol::base::Instant at;
  std::vector<std::uint8_t> octets;
  bool damaged = false;  // a character with a parity or framing error; its octet is worth nothing
};

/// The wire between one host and the units of a bus, in virtual time: what goes in at one end comes out at
/// the other, or what a bad line leaves of it. The same seed and the same calls give the same octets.
///
/// Paced, the k-th octet of a transmission is there k + 1 character times after its first start bit, so that
/// rounding never adds up. Nothing on the line tells where a frame ends: a transmission of the host that
/// begins inside t3.5 is for the units the same frame going on; behind an answer, nothing that a unit could
/// read. Where the two ends are set differently, each hears what its receiver makes of the other's bits
/// (uart.hpp).
class Line {
 public:
  Line(const Noise& noise, std::uint64_t seed, const Wire& wire = {})
      : noise_{noise}, wire_{wire}, random_{seed} {}

  /// Octets the host sends.
  void from_host(protocol::base::Octets octets, protocol::base::Instant now);
  /// One whole answer of a unit. One that begins while another is under way collides with it: drivers that
  /// pull a line low win.
  void from_unit(protocol::base::Octets answer, protocol::base::Instant now);

  /// What is there by `now`; empty when nothing is.
  [[nodiscard]] std::vector<std::uint8_t> at_unit(protocol::base::Instant now);
  [[nodiscard]] std::vector<std::uint8_t> at_host(protocol::base::Instant now);

  /// The next that has reached the units by `now`, in order of time.
  [[nodiscard]] std::optional<Arrival> take_at_unit(protocol::base::Instant now);
  /// When the first of what is under way reaches the units.
  [[nodiscard]] std::optional<protocol::base::Instant> next_at_unit() const;

  /// When it is worth looking again: when all that is under way has reached the units, or the host's port has
  /// a piece to hand on.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const;
  /// When the host's port has its next piece to hand on.
  [[nodiscard]] std::optional<protocol::base::Instant> next_at_host() const;

  /// Octets of the host that have not reached the units: who has many should stop reading for a while.
  [[nodiscard]] std::size_t backlog() const { return backlog_; }

  /// The host's port was set anew: what it sends from now on has this speed.
  void set_host(const CharacterFormat& format) { wire_.host = format; }
  void set_unit(const CharacterFormat& format) { wire_.unit = format; }
  [[nodiscard]] const Wire& wire() const { return wire_; }
  /// Both ends are set alike.
  [[nodiscard]] bool alike() const { return wire_.host == wire_.unit; }

  /// Forgets what is under way: the port was closed.
  void clear();

  [[nodiscard]] const Hits& hits() const { return hits_; }

 private:
  // One transmission towards the host, and how much of it has been handed on.
  struct Transmission {
    protocol::base::Instant start;
    std::vector<std::uint8_t> octets;
    bool answer = false;
    std::size_t handed_on = 0;
  };

  [[nodiscard]] protocol::base::Duration octets_time(const CharacterFormat& format, std::size_t octets) const;
  [[nodiscard]] protocol::base::Instant end_of(const Transmission& one) const;
  [[nodiscard]] std::uint8_t disturbed(std::uint8_t octet, unsigned extra_bits, unsigned& flips);
  void to_unit(Arrival arrival);
  void to_host(Transmission one);
  [[nodiscard]] bool collide(protocol::base::Octets answer, protocol::base::Instant now);
  /// When the adapter hands on the octets of `one` that are next, and how many.
  [[nodiscard]] std::pair<protocol::base::Instant, std::size_t> piece(const Transmission& one) const;

  Noise noise_;
  Wire wire_;
  world::Random random_;
  std::deque<Arrival> to_unit_;
  std::deque<Transmission> to_host_;
  protocol::base::Instant host_free_{};           // the host's transmitter has sent all
  std::optional<protocol::base::Instant> quiet_;  // since when nobody has sent
  bool answered_ = false;                         // it was a unit that sent last
  bool joined_to_answer_ = false;                 // what the host sends goes on with an answer
  std::size_t backlog_ = 0;
  Hits hits_;
};

}  // namespace sim::line
