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
// What plan() puts on the wire next: client_plan.hpp.
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
#include "protocol/session/client_outcome.hpp"
#include "protocol/session/client_plan.hpp"
#include "protocol/session/client_reader.hpp"

namespace protocol::session {

template <typename Guards>
Client<Guards>::Client(const ClientSettings& settings)
    : settings_{settings}, random_{settings.seed == 0 ? 0x9E3779B9U : settings.seed} {
  assert(settings.unit_address >= 1 && settings.unit_address <= pdu::kUnitAddressMax);
  assert(settings.retries_max <= kRetriesMax);
}

template <typename Guards>
void Client<Guards>::open(base::Instant now) {
  statistics_.echo = Echo::kUnknown;
  suspect_ = true;
  no_diagnostics_ = no_fence_reads_ = false;
  fence_reads_done_ = fence_reads_refused_ = diagnostics_refused_ = exchanges_ = 0;
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
  sent_at_ = now;  // of an operation that never gets a word in, its beginning
  failed_attempts_ = 0;
  fences_failed_ = 0;
  fences_passed_ = 0;
  state_ = State::kIdle;
  plan(now);
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
  plan_again(now);
}

// What was to go out next may now need a fence ahead of it; a fence that waits for silence stays as it is.
template <typename Guards>
void Client<Guards>::plan_again(base::Instant now) {
  const bool fence_waits = exchange_ == Exchange::kFence && fence_ == Fence::kEcho;
  if (state_ == State::kPacing && !fence_waits) plan(now);
}

template <typename Guards>
void Client<Guards>::damaged(base::Instant now) {
  quiet_since_ = std::max(quiet_since_, now);
  suspect_ = true;
  plan_again(now);
  if (state_ == State::kSending || state_ == State::kAwaiting) damaged_ = true;
}

template <typename Guards>
void Client<Guards>::cancel(base::Instant now) {
  if (state_ == State::kIdle || state_ == State::kFinished) return;
  fail(FailureKind::kCancelled, now);
}

}  // namespace protocol::session
