#pragma once

// The client's definitions, for client.cpp and for the tests that switch a guard off. Everyone else includes
// client.hpp.
//
// Theory of operation
//
// The answer to a read carries neither the address read nor a sequence number, so an answer that comes late
// is a perfect answer to the next read of the same shape (function and byte count). The client therefore
// never trusts that an answer belongs because it fits. A serial path is first in, first out: once a random
// word sent with 08/00 has come back (the fence), nothing older can be in the path. So after any trouble the
// link is *suspect*, and no answer counts until a fence has come back. An answer sent twice raises no
// trouble by itself; that is what unlike neighbours are for: the second copy reaches a read of another
// shape, does not fit, and is trouble. Where the caller reads one shape twice, the client reads a register
// or two in between (the spacer). Refusals have no shape but their function, so a refusal that repeats the
// one just before it is believed only behind a fence.
//
// The fence's answer equals its request, and so does that of a write: on an adapter that hears itself, a
// line without any unit would acknowledge both. So the first exchange is a read whose data is thrown away
// (the probe); only a read can tell our own octets from an answer. From then on the echo is demanded first.
//
// What a fence is for a unit that has no 08 stands in client_fence.hpp.
//
// plan() chooses what goes on the wire next:
//
//   echo unknown                                 probe
//   broadcast                                    request
//   suspect                                      fence
//   the request has the shape of the last read   spacer
//   otherwise                                    request (or, for open(), finished)
//
//   state      event                                       action                             next
//   idle       open(), request()                           plan()                             pacing
//   idle       octets                                      stray: suspect                     idle
//   pacing     octets                                      stray: suspect, plan() again       pacing
//   pacing     quiet for t3.5                              Step::send                         sending
//   pacing     never quiet                                 babble                             finished
//   sending    sent()                                      deadline from here                 awaiting
//   both*      echo of what was sent                       step over it; echo is present      same
//   both*      frame of another unit                       step over it; suspect afterwards   same
//   both*      good frame that does not fit                step over it; nothing counts now   same
//   both*      frame for us with a wrong CRC, damaged()    noise                              as below
//   both*      answer to probe or spacer                   plan()                             pacing
//   both*      fence came back: no longer suspect          plan()                             pacing
//   both*      08 refused with 01                          another kind of fence: plan()      pacing
//   pacing     quiet for a fence of silence                no longer suspect: plan()          pacing
//   awaiting   turnaround of a broadcast is over           ok, without an answer              finished
//   both*      the same, and open() wants no more          Step::Kind::kFinished              finished
//   both*      answer or refusal to the request            keep the outcome                   finished
//   awaiting   deadline                                    silence, truncated, noise …        as below
//   any        failure, attempts left                      suspect; plan()                    pacing
//   any        failure, none left                          suspect                            finished
//   any        cancel()                                    suspect                            finished
//   finished   step()                                      Step::Kind::kFinished              idle
//
//   * sending and awaiting: a port may deliver the answer before it tells that the request is out.

#include <algorithm>
#include <cassert>

#include "protocol/session/client.hpp"
#include "protocol/session/client_fence.hpp"
#include "protocol/session/client_reader.hpp"

namespace protocol::session {

template <typename Guards>
Client<Guards>::Client(const ClientSettings& settings)
    : settings_{settings}, random_{settings.seed == 0 ? 0x9E3779B9U : settings.seed} {
  assert(settings.unit_address >= 1 && settings.unit_address <= pdu::kUnitAddressMax);
  assert(settings.retries_max <= kRetriesMax);
}

template <typename Guards>
typename Client<Guards>::Shape Client<Guards>::shape_of(const pdu::Request& request) {
  if (request.function() == pdu::FunctionCode::kDiagnostics && request.address() != 0) {
    return {0x08, request.address()};
  }
  if (!request.is_read()) return {};
  const auto function = static_cast<std::uint8_t>(request.function());
  if (request.function() != pdu::FunctionCode::kEncapsulatedInterface) {
    return {function, static_cast<std::uint16_t>(request.answer_size_max())};
  }
  return {function, static_cast<std::uint16_t>((request.count() << 8) | request.address())};
}

template <typename Guards>
bool Client<Guards>::needs_spacer(const pdu::Request& request) const {
  return Guards::kUnlikeNeighbours && shape_of(request) != Shape{} && shape_of(request) == last_read_;
}

template <typename Guards>
base::Duration Client<Guards>::gap() const {
  return std::max(settings_.gap_min, settings_.timing.frame_gap());
}

// From the last octet handed to the port to the last octet of the answer, at worst. A fence that failed is
// given more each time: what it waits behind is longer than was thought.
template <typename Guards>
base::Duration Client<Guards>::patience() const {
  const std::size_t answer = rtu::kAduOverhead + current_.answer_size_max();
  const base::Duration once = settings_.timing.wire_time(adu_.size + answer) + settings_.turnaround_max +
                              settings_.adapter_latency_max + settings_.margin;
  return exchange_ == Exchange::kFence ? once * (1 << std::min<int>(fences_failed_, kRetriesMax)) : once;
}

template <typename Guards>
pdu::Request Client<Guards>::probe_read(std::uint16_t count) const {
  return settings_.probe_table == Table::kInput ? pdu::read_input_registers(settings_.probe_address, count)
                                                : pdu::read_holding_registers(settings_.probe_address, count);
}

template <typename Guards>
pdu::Request Client<Guards>::probe_request() const {
  const pdu::Request one = probe_read(1);
  return needs_spacer(one) ? probe_read(2) : one;
}

template <typename Guards>
pdu::Request Client<Guards>::spacer_request() const {
  const std::uint16_t count = asked_.count() == 1 ? 2 : 1;
  switch (asked_.function()) {
    case pdu::FunctionCode::kReadHoldingRegisters:
      return pdu::read_holding_registers(asked_.address(), count);
    case pdu::FunctionCode::kReadInputRegisters: return pdu::read_input_registers(asked_.address(), count);
    default: return probe_read(1);
  }
}

template <typename Guards>
void Client<Guards>::open(base::Instant now) {
  statistics_.echo = Echo::kUnknown;
  suspect_ = true;
  no_diagnostics_ = no_fence_reads_ = false;
  fence_reads_done_ = fence_reads_refused_ = exchanges_ = 0;
  quiet_since_ = now;
  begin_ = end_ = 0;
  begin(Goal::kOpen, now);
}

template <typename Guards>
void Client<Guards>::request(const pdu::Request& request, base::Instant now, Retry retry) {
  assert(!busy());
  asked_ = request;
  retry_ = retry;
  begin(Goal::kRequest, now);
}

template <typename Guards>
void Client<Guards>::broadcast(const pdu::Request& request, base::Instant now) {
  assert(!busy() && !request.is_read() && request.function() != pdu::FunctionCode::kDiagnostics);
  asked_ = request;
  retry_ = Retry::kNever;
  begin(Goal::kBroadcast, now);
}

template <typename Guards>
void Client<Guards>::begin(Goal goal, base::Instant now) {
  goal_ = goal;
  failed_attempts_ = 0;
  fences_failed_ = 0;
  state_ = State::kIdle;
  plan(now);
}

template <typename Guards>
void Client<Guards>::plan(base::Instant now) {
  const bool was_silence = fence_silence() > base::Duration{};
  if (goal_ == Goal::kBroadcast) {
    exchange_ = Exchange::kRequest;
    current_ = asked_;
  } else if (Guards::kEcho && statistics_.echo == Echo::kUnknown) {
    exchange_ = Exchange::kProbe;
    current_ = probe_request();
  } else if (Guards::kFence && suspect_) {
    plan_fence();
  } else {
    suspect_ = false;
    if (goal_ == Goal::kOpen) {
      finish(pdu::Response{current_.octets()});
      return;
    }
    exchange_ = needs_spacer(asked_) ? Exchange::kSpacer : Exchange::kRequest;
    if (exchange_ == Exchange::kSpacer) {
      current_ = spacer_request();
    } else {
      current_ = asked_;
    }
  }
  rtu::seal(adu_, goal_ == Goal::kBroadcast ? pdu::kBroadcast : settings_.unit_address, current_.octets());
  const bool waited_already =
      state_ == State::kPacing && (was_silence || fence_silence() == base::Duration{});
  state_ = State::kPacing;
  if (waited_already) return;
  // Longer than any frame and any answer still to come: who is not quiet by then never is.
  quiet_by_ = now + settings_.timing.wire_time(2 * rtu::kAduSizeMax) + settings_.turnaround_max + 2 * gap() +
              2 * fence_silence();
}

template <typename Guards>
void Client<Guards>::transmit(base::Instant now) {
  ++statistics_.transactions;
  statistics_.octets_sent += adu_.size;
  if (exchange_ == Exchange::kFence) ++statistics_.fences;
  if (exchange_ == Exchange::kSpacer) ++statistics_.spacers;
  if (shape_of(current_) != Shape{}) last_read_ = shape_of(current_);
  if (current_.function() == probe_read(1).function()) {
    counts_used_[current_.count() / 32 % counts_used_.size()] |= 1U << (current_.count() % 32);
  }
  echo_seen_ = damaged_ = stale_seen_ = foreign_seen_ = garbage_seen_ = false;
  octets_in_exchange_ = crc_expected_ = crc_received_ = 0;
  skipped_ = 0;
  if (Guards::kStrayOctets) begin_ = end_ = 0;
  settles_at_ = base::Instant::max();
  sent_at_ = now;
  state_ = State::kSending;
}

template <typename Guards>
void Client<Guards>::sent(base::Instant now) {
  if (state_ != State::kSending) return;
  sent_at_ = now;
  quiet_since_ = std::max(quiet_since_, now + settings_.timing.wire_time(adu_.size));
  deadline_ = goal_ == Goal::kBroadcast
                  ? now + settings_.timing.wire_time(adu_.size) + settings_.broadcast_turnaround
                  : now + patience();
  state_ = State::kAwaiting;
}

template <typename Guards>
Step Client<Guards>::step(base::Instant now) {
  for (;;) {
    switch (state_) {
      case State::kIdle: return {};
      case State::kFinished: state_ = State::kIdle; return {Step::Kind::kFinished, {}, now};
      case State::kPacing: {
        const base::Instant quiet_at = quiet_since_ + std::max(gap(), fence_silence());
        if (now >= quiet_at && exchange_ == Exchange::kFence && fence_ >= Fence::kSilence) {
          if (fence_ == Fence::kNone && exchanges_ != 0) ++statistics_.fences_missing;
          trusted(now);
          break;
        }
        if (now >= quiet_at) {
          transmit(now);
          return {Step::Kind::kSend, adu_.octets(), now};
        }
        if (now < quiet_by_) return {Step::Kind::kWait, {}, std::min(quiet_at, quiet_by_)};
        fail(FailureKind::kBabble, now);
        break;
      }
      case State::kSending:
      case State::kAwaiting:
        if (now >= settles_at_) {
          scan(Settled::kYes, now);
        } else if (state_ == State::kAwaiting && now >= deadline_) {
          if (goal_ == Goal::kBroadcast) {
            broadcast_done(now);
          } else {
            timed_out(now);
          }
        } else {
          return {Step::Kind::kWait,
                  {},
                  state_ == State::kAwaiting ? std::min(deadline_, settles_at_) : settles_at_};
        }
        break;
    }
  }
}

template <typename Guards>
void Client<Guards>::received(base::Octets octets, base::Instant now) {
  if (octets.empty()) return;
  statistics_.octets_received += octets.size();
  quiet_since_ = std::max(quiet_since_, now);
  if (state_ != State::kSending && state_ != State::kAwaiting) {
    stray(octets, now);
    return;
  }
  octets_in_exchange_ =
      static_cast<std::uint16_t>(std::min<std::size_t>(0xFFFF, octets_in_exchange_ + octets.size()));
  if (append(octets)) {
    if (goal_ != Goal::kBroadcast) scan(Settled::kNo, now);
  } else {
    fail(FailureKind::kNoise, now);
  }
}

template <typename Guards>
void Client<Guards>::stray(base::Octets octets, base::Instant now) {
  statistics_.octets_stray += static_cast<std::uint32_t>(octets.size());
  if (!Guards::kStrayOctets) {
    // What a client does that leaves them where they are: they are read as the next answer.
    if (!append(octets)) begin_ = end_ = 0;
    return;
  }
  suspect_ = true;
  fence_reads_done_ = 0;
  if (state_ == State::kPacing) plan(now);
}

template <typename Guards>
void Client<Guards>::damaged(base::Instant now) {
  quiet_since_ = std::max(quiet_since_, now);
  suspect_ = true;
  if (state_ == State::kPacing) plan(now);
  if (state_ == State::kSending || state_ == State::kAwaiting) damaged_ = true;
}

template <typename Guards>
void Client<Guards>::cancel(base::Instant now) {
  if (state_ == State::kIdle || state_ == State::kFinished) return;
  fail(FailureKind::kCancelled, now);
}

template <typename Guards>
bool Client<Guards>::repeats_exception(std::uint8_t function, pdu::ExceptionCode code) const {
  return Guards::kUnlikeNeighbours && function == last_exception_function_ && code == last_exception_;
}

// The units have had their time. Our own echo may have come; anything else is stray.
template <typename Guards>
void Client<Guards>::broadcast_done(base::Instant now) {
  const base::Octets left = pending();
  const bool echo = left.size() == adu_.size && same_start(left, adu_.octets());
  begin_ = end_ = 0;
  if (!left.empty() && !echo) stray(left, now);
  finish(pdu::Response{});
}

// A frame that fits what was sent, with a right CRC.
template <typename Guards>
void Client<Guards>::answered(base::Octets adu, pdu::Match match, base::Instant now) {
  statistics_.answer_time_last = now - sent_at_;
  statistics_.answer_time_max = std::max(statistics_.answer_time_max, statistics_.answer_time_last);
  const base::Octets pdu = rtu::pdu_of(adu);
  const auto function = static_cast<std::uint8_t>(current_.function());
  if (damaged_) return fail(FailureKind::kNoise, now);
  if (exchange_ == Exchange::kFence) return fence_read(match, now);
  if (stale_seen_) return fail(FailureKind::kMismatch, now);
  auto code = pdu::ExceptionCode::kNone;
  if (match == pdu::Match::kException) {
    code = static_cast<pdu::ExceptionCode>(pdu[1]);
    if (repeats_exception(function, code)) {
      ++statistics_.frames_stale;
      return fail(FailureKind::kMismatch, now);
    }
  }
  last_exception_function_ = match == pdu::Match::kException ? function : std::uint8_t{0};
  last_exception_ = code;
  if (foreign_seen_) suspect_ = true;
  if (exchange_ == Exchange::kProbe && statistics_.echo == Echo::kUnknown) statistics_.echo = Echo::kAbsent;
  const bool trailing = begin_ != end_;
  if (trailing) {
    statistics_.octets_stray += static_cast<std::uint32_t>(end_ - begin_);
    if (Guards::kStrayOctets) suspect_ = true;
  }
  if (exchange_ != Exchange::kRequest) {
    state_ = State::kIdle;
    return plan(now);
  }
  if (match == pdu::Match::kAnswer) return finish(pdu::Response{pdu});
  Failure failure;
  failure.kind = FailureKind::kException;
  failure.exception = code;
  failure.octets_received = octets_in_exchange_;
  failure.failed_attempts = static_cast<std::uint8_t>(failed_attempts_ + 1);
  failure.waited = now - sent_at_;
  finish(failure);
}

template <typename Guards>
void Client<Guards>::fail(FailureKind kind, base::Instant now, pdu::ExceptionCode code) {
  Failure failure;
  failure.kind = kind;
  failure.during = exchange_;
  failure.exception = code;
  failure.crc_expected = crc_expected_;
  failure.crc_received = crc_received_;
  failure.octets_received = octets_in_exchange_;
  failure.failed_attempts = ++failed_attempts_;
  failure.waited = now - sent_at_;
  suspect_ = Guards::kLateness || kind != FailureKind::kSilence;
  if (!suspect_) last_read_ = {};
  if (exchange_ == Exchange::kFence) ++fences_failed_;
  fence_reads_done_ = 0;
  switch (kind) {
    case FailureKind::kCollision: statistics_.echo = Echo::kUnknown; [[fallthrough]];
    case FailureKind::kNoise:
    case FailureKind::kTruncated: ++statistics_.frames_bad; break;
    default: break;
  }
  const bool hopeless = kind == FailureKind::kCancelled || kind == FailureKind::kBabble;
  const bool once = exchange_ == Exchange::kRequest && retry_ == Retry::kNever && goal_ != Goal::kOpen;
  if (hopeless || once || failed_attempts_ > settings_.retries_max) return finish(failure);
  ++statistics_.retries;
  state_ = State::kIdle;
  plan(now);
}

template <typename Guards>
void Client<Guards>::finish(const Outcome& outcome) {
  outcome_ = outcome;
  state_ = State::kFinished;
}

}  // namespace protocol::session
