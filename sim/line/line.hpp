#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "sim/line/noise.hpp"
#include "sim/world/event_queue.hpp"
#include "sim/world/random.hpp"

namespace sim::line {

/// How often each fault struck. A fault that was asked for and counts nothing did not happen.
struct Hits {
  std::uint64_t bits_flipped = 0;
  std::uint64_t answers_dropped = 0;
  std::uint64_t answers_doubled = 0;
  std::uint64_t answers_delayed = 0;
  std::uint64_t octets_echoed = 0;
};

/// The wire between host and unit, in virtual time: what goes in at one end comes out at the other, or what a
/// bad line leaves of it. The same seed and the same calls give the same octets.
class Line {
 public:
  Line(const Noise& noise, std::uint64_t seed) : noise_{noise}, random_{seed} {}

  /// Octets the host sends.
  void from_host(protocol::base::Octets octets, protocol::base::Instant now);
  /// One whole answer of the unit.
  void from_unit(protocol::base::Octets answer, protocol::base::Instant now);

  /// What has arrived by `now`; empty when nothing has.
  [[nodiscard]] std::vector<std::uint8_t> at_unit(protocol::base::Instant now);
  [[nodiscard]] std::vector<std::uint8_t> at_host(protocol::base::Instant now);

  /// When something arrives next, at either end.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const;

  /// Forgets what is under way: the port was closed.
  void clear();

  [[nodiscard]] const Hits& hits() const { return hits_; }

 private:
  using Piece = std::vector<std::uint8_t>;
  [[nodiscard]] Piece disturbed(protocol::base::Octets octets);

  Noise noise_;
  world::Random random_;
  world::EventQueue<Piece> to_unit_, to_host_;
  Hits hits_;
};

}  // namespace sim::line
