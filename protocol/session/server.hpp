#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/step.hpp"

namespace protocol::session {

struct ServerSettings {
  /// 1..247. Precondition of Server.
  std::uint8_t unit_address = 1;
  rtu::LineTiming timing;
  /// Silence that ends a frame and precedes an answer. Zero means t3.5; a port that delivers octets in
  /// bursts (a pty, a USB adapter) needs more, for pauses that were not on the wire look like silence.
  base::Duration silence{};
};

/// What a server saw. Counts only grow. Source  MODBUS over Serial Line V1.02, 6.1 (the idea, not the codes).
struct ServerCounts {
  std::uint32_t requests = 0;  ///< whole frames for this unit, broadcasts included
  std::uint32_t answers = 0;   ///< exceptions included
  std::uint32_t exceptions = 0;
  std::uint32_t frames_others = 0;  ///< stepped over: other units' requests and answers
  std::uint32_t frames_bad = 0;     ///< thrown away with the next silence
};

/// The answering end of an RTU link: a state machine without I/O or clock. Theory of operation and
/// transition table: server.cpp.
///
/// Use      received() whenever octets come, then step() until it says wait or idle, and again at
///          Step::until. Step::Kind::kSend is to be written whole; finished is never said.
/// Source   MODBUS over Serial Line V1.02, 2.4.2 and 2.5.1.1; AP V1.1b3, 7.
class Server {
 public:
  /// `device` outlives the server.
  Server(const ServerSettings& settings, Device& device);

  /// Octets from the line, in order, in any pieces.
  void received(base::Octets octets, base::Instant now);

  /// The port saw a parity, framing or overrun error: what came since the last silence is thrown away,
  /// and what comes until the next one. A unit that saw such an error sends nothing.
  void damaged(base::Instant now);

  /// What to do now.
  [[nodiscard]] Step step(base::Instant now);

  /// Forgets a half-received frame and an answer not yet sent: the port was closed, or the unit reset.
  void reset();

  [[nodiscard]] const ServerCounts& counts() const { return counts_; }

 private:
  enum class State : std::uint8_t { kListening, kDeaf, kAnswering };

  [[nodiscard]] base::Duration silence() const;
  void parse();
  void execute(base::Octets frame);
  void silent();
  void consume(std::size_t octets);

  ServerSettings settings_;
  Device* device_;
  ServerCounts counts_;
  State state_ = State::kListening;
  base::Instant last_octet_{};
  rtu::Adu answer_;
  std::array<std::uint8_t, 2 * rtu::kAduSizeMax> buffer_{};
  std::size_t size_ = 0;
};

}  // namespace protocol::session
