#pragma once

#include <array>
#include <cstdint>
#include <deque>

#include "protocol/base/bytes.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/session/server.hpp"
#include "tests/soak/device.hpp"
#include "tests/soak/dice.hpp"
#include "tests/soak/mix.hpp"

namespace tests::soak {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

inline constexpr protocol::rtu::LineTiming kLine{115200, 11};
inline constexpr std::uint8_t kUnit = 1;
inline constexpr std::uint8_t kOther = 2;

/// Octets as a port hands them over, and whether it saw an error behind them.
struct Piece {
  Instant at{};
  std::uint16_t size = 0;
  bool damaged = false;
  std::array<std::uint8_t, 2 * protocol::rtu::kAduSizeMax> storage{};

  [[nodiscard]] Octets octets() const { return {storage.data(), size}; }
};

/// What the wire did, and what of it a CRC can't see.
struct Counts {
  std::array<std::uint64_t, kFaults> hits{};
  std::uint64_t requests = 0;
  /// Frames with an even number of turned bits, four or more: a CRC-16 lets one in 2^15 of them pass.
  std::uint64_t frames_turned_evenly = 0;
  /// Frames of which anything may have become: clashes, octets lost. One in 2^16 passes.
  std::uint64_t frames_garbled = 0;
};

/// A wire in virtual time between one client and one server, first in first out, with the faults of a mix on
/// it.
class Wire {
 public:
  /// `device` outlives it.
  Wire(const Mix& mix, std::uint64_t seed, protocol::session::Device& device);

  /// Octets from the client. Precondition: now never goes backwards.
  void transmit(Octets octets, Instant now);

  /// When the next piece comes, or Instant::max().
  [[nodiscard]] Instant next() const { return queue_.empty() ? Instant::max() : queue_.front().at; }
  [[nodiscard]] const Piece& front() const { return queue_.front(); }
  void pop() { queue_.pop_front(); }

  /// When the last piece under way comes; Instant::min() if there is none.
  [[nodiscard]] Instant last() const { return queue_.empty() ? Instant::min() : queue_.back().at; }

  /// From here on nothing is done to anything; what is under way still comes.
  void calm() { mix_ = {.chance = {}, .echo = mix_.echo}; }

  /// An operation begins.
  void begin();

  /// Whether the unit has sent this PDU in this operation. An acknowledgement tells nothing else of when.
  [[nodiscard]] bool has_answered(Octets pdu) const { return was_sent(pdu, operation_begins_); }

  /// Whether the unit has sent this PDU lately: an answer that was accepted and that it has not sent was made
  /// by the line, and got past the CRC.
  [[nodiscard]] bool was_sent(Octets pdu) const { return was_sent(pdu, 0); }

  /// Whether a request damaged on the way was executed in this operation: its CRC held all the same.
  [[nodiscard]] bool executed_damaged() const { return executed_damaged_; }

  /// What 08 reads of the unit's port.
  [[nodiscard]] const protocol::session::Counters& counters() const { return server_.counters(); }

  [[nodiscard]] const Counts& counts() const { return counts_; }

 private:
  using Frame = protocol::rtu::Adu;

  [[nodiscard]] bool strikes(Fault fault);
  void deliver(Octets octets, Instant at, bool damaged = false);
  void turn_bits(Frame& frame);
  void answer(Frame frame, Instant at);
  void talk_of_others(Instant at);
  [[nodiscard]] Frame others_like(const Frame& frame) const;
  [[nodiscard]] bool was_sent(Octets pdu, std::size_t since) const;

  Mix mix_;
  Dice dice_;
  BusyDevice device_;
  protocol::session::Server server_;
  Instant server_now_{};
  std::deque<Piece> queue_;
  Frame before_;
  std::array<Frame, 16> sent_{};
  std::size_t sent_at_ = 0;
  std::size_t operation_begins_ = 0;
  bool executed_damaged_ = false;
  Counts counts_;
};

}  // namespace tests::soak
