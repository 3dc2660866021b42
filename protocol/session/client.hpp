#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/failure.hpp"
#include "protocol/session/guards.hpp"
#include "protocol/session/statistics.hpp"
#include "protocol/session/step.hpp"

namespace protocol::session {

/// Octets skipped ahead of an answer before the rest counts as noise.
inline constexpr std::size_t kLeadingOctetsMax = 16;
/// Failed exchanges an operation may repeat.
inline constexpr std::uint8_t kRetriesMax = 3;

/// Fences of one operation: two for each attempt there may be.
inline constexpr std::uint8_t kFencesMax = 2 * (kRetriesMax + 1);

struct ClientSettings {
  /// 1..247. Precondition of Client.
  std::uint8_t unit_address = 1;
  rtu::LineTiming timing;
  /// The longest the unit takes from the last octet of a request to the first of its answer.
  base::Duration turnaround_max = base::milliseconds(200);
  /// The longest the adapter and the system hold octets back, both ways together.
  base::Duration adapter_latency_max = base::milliseconds(16);
  /// What nobody knows about: scheduling.
  base::Duration margin = base::milliseconds(20);
  /// Silence kept before each frame when the unit needs more than t3.5.
  base::Duration gap_min{};
  /// At most kRetriesMax.
  std::uint8_t retries_max = kRetriesMax;
  /// Where the echo probe reads; an exception is as good an answer. Any register that may be read.
  Table probe_table = Table::kHolding;
  std::uint16_t probe_address = 0;
  /// How a unit without 08 is fenced; see client_fence.hpp. The unit is asked 08 first unless this says
  /// that it has none.
  bool has_diagnostics = true;
  /// Registers that may be read from probe_address on, in any number up to this; 0 or 1: unknown.
  std::uint16_t probe_registers_max = 0;
  /// The longest that any answer of the unit may come after its request, as its maker says; zero: nothing is
  /// said.
  base::Duration answer_time_max{};
  /// What units take to do a broadcast, before the next request may come.
  /// Source  MODBUS over Serial Line V1.02, 2.4.1: 100 to 200 ms.
  base::Duration broadcast_turnaround = base::milliseconds(100);
  /// Seed of the fence's words. Different each time a link is opened.
  std::uint32_t seed = 1;
};

using Outcome = base::Result<pdu::Response, Failure>;

/// Whether a request that failed on the line may be sent again.
enum class Retry : std::uint8_t { kAllowed, kNever };

/// The asking end of an RTU link to one unit: a state machine without I/O or clock. It takes octets and
/// the time and says what to send, how long to wait, and how an operation ended. Theory of operation and
/// transition table: client_machine.hpp.
///
/// Use      one operation at a time. After each of open(), request(), sent(), received(), damaged() and
///          at Step::until call step(), until it says finished.
/// Units    `now` is the caller's LinkClock and never goes backwards.
/// Promise  an outcome that is ok is the unit's answer to this very request. What can't be excluded: an
///          answer older than the last exchange, of exactly the shape asked, that overtakes nothing and
///          arrives within the exchange without any trouble having been seen before it.
/// Source   MODBUS over Serial Line V1.02, 2.4.1, 2.5.1; AP V1.1b3, 7.
template <typename Guards = AllGuards>
class Client {
 public:
  explicit Client(const ClientSettings& settings);

  /// Begins the first operation on a port, or on one that was closed and opened again: the echo probe and
  /// the fence. Finishes ok with the fence's answer, or with the failure. After a failure open() may be
  /// called again; request() also does what is missing. Drops an operation under way.
  void open(base::Instant now);

  /// Begins one request. Whatever the link needs before it (probe, fence, spacer) is done first, whatever
  /// fails on the line is repeated up to retries_max times.
  /// Precondition: !busy().
  /// Result   ok: the answer. Failure: exception from the board at once, without a retry; else that of
  ///          the last attempt.
  void request(const pdu::Request& request, base::Instant now, Retry retry = Retry::kAllowed);

  /// Begins one write to every unit of the bus. No unit answers, so it finishes ok with an empty Response
  /// when they have had broadcast_turnaround for it, says nothing of whether any did it, and is never
  /// repeated. Precondition: !busy(), and a function that may be broadcast: 05 06 0F 10 16.
  void broadcast(const pdu::Request& request, base::Instant now);

  /// Gives up the operation under way: it finishes with FailureKind::kCancelled and the link is suspect.
  void cancel(base::Instant now);

  /// What to do now. `send` and `finished` are said once each.
  [[nodiscard]] Step step(base::Instant now);

  /// The octets of the last Step::send have been handed to the port. The deadline counts from here and
  /// allows for their time on the wire, so it does not matter whether the port has drained.
  void sent(base::Instant now);

  /// Octets that came, in order, at any time and in any pieces.
  void received(base::Octets octets, base::Instant now);

  /// The port saw a parity, framing or overrun error (or a break) at this place in the stream: the frame
  /// under way is condemned.
  void damaged(base::Instant now);

  /// How the operation ended; after Step::Kind::kFinished, until the next open() or request().
  [[nodiscard]] const Outcome& outcome() const { return outcome_; }

  [[nodiscard]] bool busy() const { return state_ != State::kIdle; }

  /// Whether `request` would have a spacer put before it, because the last read had its shape: a planner
  /// that reads one register more, or in another order, spares the line that.
  [[nodiscard]] bool needs_spacer(const pdu::Request& request) const;

  /// Nothing counts until the next fence has come back.
  [[nodiscard]] bool suspect() const { return suspect_; }

  [[nodiscard]] const Statistics& statistics() const { return statistics_; }

  /// More than 10 % bad frames over at least 20: no verdict from this line.
  [[nodiscard]] bool line_gate_broken() const { return statistics_.gate_broken(); }

 private:
  enum class State : std::uint8_t { kIdle, kPacing, kSending, kAwaiting, kFinished };
  enum class Goal : std::uint8_t { kOpen, kRequest, kBroadcast };
  /// What a fence is made of.
  enum class Fence : std::uint8_t { kEcho, kReads, kSilence, kNone };
  /// What was last read on the wire; two in a row may not be equal. Zero: nothing yet.
  struct Shape {
    std::uint8_t function = 0;
    std::uint16_t size = 0;  // of the answer; for 2B/0E and 08 what was asked
    bool operator==(const Shape&) const = default;
  };
  /// What stands at one place of the octets received.
  struct Look {
    enum class Kind : std::uint8_t { kNothing, kUnfinished, kCondemned, kOurs, kOthers };
    Kind kind = Kind::kNothing;
    std::size_t size = 0;
  };

  // client_machine.hpp: the operation and its states.
  void begin(Goal goal, base::Instant now);
  void stray(base::Octets octets, base::Instant now);

  // client_plan.hpp: what goes on the wire next, and how long that may take.
  [[nodiscard]] static Shape shape_of(const pdu::Request& request);
  [[nodiscard]] base::Duration gap() const;
  [[nodiscard]] base::Duration patience() const;
  [[nodiscard]] pdu::Request probe_read(std::uint16_t count) const;
  [[nodiscard]] pdu::Request probe_request() const;
  [[nodiscard]] pdu::Request spacer_request() const;
  void plan(base::Instant now);
  void plan_again(base::Instant now);
  void transmit(base::Instant now);

  // client_outcome.hpp: what came of an exchange, and of the operation.
  [[nodiscard]] bool repeats_exception(std::uint8_t function, pdu::ExceptionCode code) const;
  void broadcast_done(base::Instant now);
  void answered(base::Octets adu, pdu::Match match, base::Instant now);
  void fail(FailureKind kind, base::Instant now, pdu::ExceptionCode code = pdu::ExceptionCode::kNone);
  void finish(const Outcome& outcome);

  // client_fence.hpp: whether anything older can still be in the line.
  [[nodiscard]] base::Duration fence_silence() const;
  [[nodiscard]] std::uint16_t next_fence_word();
  [[nodiscard]] Fence fence_kind() const;
  [[nodiscard]] std::uint16_t unused_count() const;
  void plan_fence();
  void fence_read(pdu::Match match, base::Instant now);
  void fenced(base::Instant now);
  void trusted(base::Instant now);
  void scan_fence(base::Instant now);
  void discard_old();

  // client_reader.hpp: what the octets received are.
  enum class Settled : std::uint8_t { kNo, kYes };
  [[nodiscard]] base::Octets pending() const { return {buffer_.data() + begin_, end_ - begin_}; }
  [[nodiscard]] bool append(base::Octets octets);
  void scan(Settled settled, base::Instant now);
  [[nodiscard]] bool echo_done(base::Instant now);
  [[nodiscard]] bool find_echo();
  [[nodiscard]] Look look_at(base::Octets octets);
  [[nodiscard]] Look look_at_ours(base::Octets octets);
  void timed_out(base::Instant now);
  [[nodiscard]] pdu::Match forgiven(pdu::Match match, base::Octets pdu) const;
  [[nodiscard]] bool take(base::Octets frame, base::Instant now);

  ClientSettings settings_;
  Statistics statistics_;
  Outcome outcome_{Failure{}};
  pdu::Request asked_;    // by the caller
  pdu::Request current_;  // on the wire
  rtu::Adu adu_;          // current_ with address and CRC

  State state_ = State::kIdle;
  Goal goal_ = Goal::kOpen;
  Exchange exchange_ = Exchange::kRequest;
  Retry retry_ = Retry::kAllowed;
  bool suspect_ = true;
  Shape last_read_;
  std::uint8_t last_exception_function_ = 0;
  pdu::ExceptionCode last_exception_ = pdu::ExceptionCode::kNone;
  std::uint8_t failed_attempts_ = 0;  // in this operation
  std::uint8_t fences_failed_ = 0;    // in this operation
  std::uint8_t fences_passed_ = 0;    // likewise
  std::uint16_t fence_word_ = 0;
  Fence fence_ = Fence::kEcho;   // of this exchange
  bool no_diagnostics_ = false;  // the unit has refused 08
  bool no_fence_reads_ = false;  // or the reads in its place
  std::uint8_t fence_reads_done_ = 0;
  std::uint8_t fence_reads_refused_ = 0;
  std::uint8_t diagnostics_refused_ = 0;        // in a row; two mean that the unit has no 08
  std::uint8_t exchanges_ = 0;                  // since open(), up to 1
  std::array<std::uint32_t, 4> counts_used_{};  // as the probe reads, since the last fence; a bit a count
  std::uint32_t random_;

  base::Instant quiet_since_{};  // the last octet either way
  base::Instant quiet_by_ = base::Instant::max();
  base::Instant sent_at_{};
  base::Instant deadline_ = base::Instant::max();
  base::Instant settles_at_ = base::Instant::max();

  // This exchange.
  bool echo_seen_ = false;
  bool damaged_ = false;
  bool stale_seen_ = false;
  bool foreign_seen_ = false;
  bool garbage_seen_ = false;  // ahead of a fence
  std::uint16_t octets_in_exchange_ = 0;
  std::uint16_t crc_expected_ = 0;
  std::uint16_t crc_received_ = 0;
  std::size_t skipped_ = 0;
  std::array<std::uint8_t, 2 * rtu::kAduSizeMax + kLeadingOctetsMax> buffer_{};
  std::size_t begin_ = 0;
  std::size_t end_ = 0;
};

extern template class Client<AllGuards>;

}  // namespace protocol::session
