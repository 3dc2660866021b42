#pragma once

#include <algorithm>
#include <array>
#include <cassert>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/counters.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/step.hpp"

namespace protocol::session {

/// Whether a pause inside a frame condemns it. Only a port that sees each octet when it comes can tell: a
/// microcontroller's UART does, a pty or an adapter that delivers bursts does not.
enum class CharacterGap : std::uint8_t { kIgnored, kEnforced };

struct ServerSettings {
  /// 1..247. Precondition of BasicServer.
  std::uint8_t unit_address = 1;
  rtu::LineTiming timing;
  /// Silence that ends a frame and precedes an answer, when it is to be longer than t3.5: a port that
  /// delivers octets in bursts (a pty, a USB adapter) needs more, for pauses that were not on the wire look
  /// like silence.
  base::Duration silence{};
  /// Enforced: more than t1.5 between two octets and the frame is thrown away.
  CharacterGap character_gap = CharacterGap::kIgnored;
};

/// Whether function 08 is the port's to answer, which then does so without asking the unit; else the unit is
/// asked as for any function.
constexpr bool has_diagnostics(const Device&) {
  return true;
}

/// The answering end of an RTU link: a state machine without I/O or clock. Theory of operation and
/// transition table: server_machine.hpp.
///
/// Shape    `Unit` is what stands behind it, known by two functions beside it: answer() as answer.hpp has it,
///          and has_diagnostics(). A Device is one; who answers otherwise includes server_machine.hpp.
/// Use      received() whenever octets come, then step() until it says wait or idle, and again at
///          Step::until. Step::Kind::kSend is to be written whole; finished is never said. There is one
///          buffer for request and answer: Step::octets stay valid until the next call, so a port that sends
///          them from where they are hands over nothing before it is done, its own octets least of all (a
///          2-wire receiver is off while its driver is on).
/// Source   MODBUS over Serial Line V1.02, 2.4.2 and 2.5.1.1; AP V1.1b3, 6.8 and 7.
template <typename Unit>
class BasicServer {
 public:
  /// `unit` outlives the server. With settings known when it is compiled, all that follows from them is
  /// too.
  constexpr BasicServer(const ServerSettings& settings, Unit& unit)
      : unit_address_{settings.unit_address},
        silence_us_{in_us(std::max(settings.silence, settings.timing.frame_gap()))},
        octet_gap_us_max_{settings.character_gap == CharacterGap::kIgnored
                              ? silence_us_
                              : in_us(settings.timing.character_gap() + settings.timing.character_time())},
        unit_{&unit} {
    assert(settings.unit_address >= 1 && settings.unit_address <= pdu::kUnitAddressMax);
  }

  /// Octets from the line, in order, in any pieces.
  void received(base::Octets octets, base::Instant now);

  /// The port saw a parity, framing or overrun error: what came since the last silence is thrown away,
  /// and what comes until the next one. A unit that saw such an error sends nothing.
  void damaged(base::Instant now);

  /// What to do now.
  [[nodiscard]] Step step(base::Instant now);

  /// Forgets a half-received frame, an answer not yet sent and listen only mode: the port was closed, or the
  /// unit reset.
  void reset();

  /// What 08 reads and clears.
  [[nodiscard]] const Counters& counters() const { return counters_; }

 private:
  enum class State : std::uint8_t { kListening, kDeaf, kAnswering };

  static constexpr std::uint32_t in_us(base::Duration duration) {
    return static_cast<std::uint32_t>(duration.count());
  }
  [[nodiscard]] std::uint32_t since_last_octet_us(base::Instant now) const;
  void parse();
  void execute(std::size_t frame_size);
  [[nodiscard]] std::size_t silent();
  void forget();
  [[nodiscard]] bool for_us() const;
  [[nodiscard]] std::size_t diagnostics(std::uint8_t* pdu);

  // The small ones first: a small target reaches them with short instructions.
  State state_ = State::kListening;
  bool listen_only_ = false;
  std::uint8_t unit_address_;
  std::uint16_t size_ = 0;
  std::uint32_t silence_us_;
  std::uint32_t octet_gap_us_max_;
  std::uint32_t last_octet_us_ = 0;  // the low half of the instant
  Unit* unit_;
  Counters counters_;
  std::array<std::uint8_t, rtu::kAduSizeMax> buffer_{};
};

/// The server of a Device.
using Server = BasicServer<Device>;

extern template class BasicServer<Device>;

}  // namespace protocol::session
