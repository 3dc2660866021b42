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
// plan() chooses what goes on the wire next:
//
//   echo unknown                                 probe
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
//   both*      fence came back                             no longer suspect; plan()          pacing,
//   finished both*      answer or refusal to the request finished awaiting   deadline silence, truncated,
//   noise …        as below any        failure, attempts left                      suspect; plan() pacing any
//   failure, none left                          suspect                            finished any cancel()
//   suspect                            finished finished   step() Step::finished                     idle
//
//   * sending and awaiting: a port may deliver the answer before it tells that the request is out.

#include <algorithm>
#include <cassert>

#include "protocol/session/client.hpp"
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
  if (!request.is_read()) return {};
  const auto function = static_cast<std::uint8_t>(request.function());
  if (request.function() != pdu::FunctionCode::encapsulated_interface) return {function, request.count()};
  return {function, static_cast<std::uint16_t>((request.count() << 8) | request.address())};
}

template <typename Guards>
bool Client<Guards>::needs_spacer(const pdu::Request& request) const {
  return Guards::unlike_neighbours && request.is_read() && shape_of(request) == last_read_;
}

template <typename Guards>
base::Duration Client<Guards>::gap() const {
  return std::max(settings_.gap_min, settings_.timing.frame_gap());
}

// From the last octet handed to the port to the last octet of the answer, at worst. A fence that failed is
// given more each time: what it waits behind is longer than was thought.
template <typename Guards>
base::Duration Client<Guards>::patience() const {
  std::size_t answer = adu_.size;
  if (current_.function() == pdu::FunctionCode::encapsulated_interface) {
    answer = rtu::kAduSizeMax;
  } else if (current_.is_read()) {
    answer = rtu::kAduOverhead + 2 + std::size_t{current_.count()} * 2;
  }
  const base::Duration once = settings_.timing.wire_time(adu_.size + answer) + settings_.turnaround_max +
                              settings_.adapter_latency_max + settings_.margin;
  return exchange_ == Exchange::fence ? once * (1 << std::min<int>(fences_failed_, kRetriesMax)) : once;
}

template <typename Guards>
std::uint16_t Client<Guards>::next_fence_word() {
  std::uint16_t word = fence_word_;
  while (word == fence_word_) {
    random_ ^= random_ << 13;
    random_ ^= random_ >> 17;
    random_ ^= random_ << 5;
    word = static_cast<std::uint16_t>(random_ >> 16);
  }
  fence_word_ = word;
  return word;
}

template <typename Guards>
pdu::Request Client<Guards>::probe_request() const {
  const pdu::Request one = pdu::read_holding_registers(settings_.probe_address, 1);
  return needs_spacer(one) ? pdu::read_holding_registers(settings_.probe_address, 2) : one;
}

template <typename Guards>
pdu::Request Client<Guards>::spacer_request() const {
  const std::uint16_t count = asked_.count() == 1 ? 2 : 1;
  switch (asked_.function()) {
    case pdu::FunctionCode::read_holding_registers:
      return pdu::read_holding_registers(asked_.address(), count);
    case pdu::FunctionCode::read_input_registers: return pdu::read_input_registers(asked_.address(), count);
    default: return pdu::read_holding_registers(settings_.probe_address, 1);
  }
}

template <typename Guards>
void Client<Guards>::open(base::Instant now) {
  statistics_.echo = Echo::unknown;
  suspect_ = true;
  quiet_since_ = now;
  begin_ = end_ = 0;
  begin(Goal::open, now);
}

template <typename Guards>
void Client<Guards>::request(const pdu::Request& request, base::Instant now, Retry retry) {
  assert(!busy());
  asked_ = request;
  retry_ = retry;
  begin(Goal::request, now);
}

template <typename Guards>
void Client<Guards>::begin(Goal goal, base::Instant now) {
  goal_ = goal;
  failed_attempts_ = 0;
  fences_failed_ = 0;
  state_ = State::idle;
  plan(now);
}

template <typename Guards>
void Client<Guards>::plan(base::Instant now) {
  if (Guards::echo && statistics_.echo == Echo::unknown) {
    exchange_ = Exchange::probe;
    current_ = probe_request();
  } else if (Guards::fence && suspect_) {
    exchange_ = Exchange::fence;
    current_ = pdu::return_query_data(next_fence_word());
  } else {
    suspect_ = false;
    if (goal_ == Goal::open) {
      finish(pdu::Response{current_.octets()});
      return;
    }
    const bool spacer = needs_spacer(asked_);
    exchange_ = spacer ? Exchange::spacer : Exchange::request;
    current_ = spacer ? spacer_request() : asked_;
  }
  adu_ = rtu::seal(settings_.unit_address, current_.octets());
  if (state_ != State::pacing) {
    // Longer than any frame and any answer still to come: who is not quiet by then never is.
    quiet_by_ = now + settings_.timing.wire_time(2 * rtu::kAduSizeMax) + settings_.turnaround_max + 2 * gap();
  }
  state_ = State::pacing;
}

template <typename Guards>
void Client<Guards>::transmit(base::Instant now) {
  ++statistics_.transactions;
  statistics_.octets_sent += adu_.size;
  if (exchange_ == Exchange::fence) ++statistics_.fences;
  if (exchange_ == Exchange::spacer) ++statistics_.spacers;
  if (current_.is_read()) last_read_ = shape_of(current_);
  echo_seen_ = damaged_ = stale_seen_ = foreign_seen_ = garbage_seen_ = false;
  octets_in_exchange_ = crc_expected_ = crc_received_ = 0;
  skipped_ = 0;
  if (Guards::stray_octets) begin_ = end_ = 0;
  settles_at_ = base::Instant::max();
  sent_at_ = now;
  state_ = State::sending;
}

template <typename Guards>
void Client<Guards>::sent(base::Instant now) {
  if (state_ != State::sending) return;
  sent_at_ = now;
  quiet_since_ = std::max(quiet_since_, now + settings_.timing.wire_time(adu_.size));
  deadline_ = now + patience();
  state_ = State::awaiting;
}

template <typename Guards>
Step Client<Guards>::step(base::Instant now) {
  for (;;) {
    switch (state_) {
      case State::idle: return {};
      case State::finished: state_ = State::idle; return {Step::Kind::finished, {}, now};
      case State::pacing: {
        const base::Instant quiet_at = quiet_since_ + gap();
        if (now >= quiet_at) {
          transmit(now);
          return {Step::Kind::send, adu_.octets(), now};
        }
        if (now < quiet_by_) return {Step::Kind::wait, {}, std::min(quiet_at, quiet_by_)};
        fail(FailureKind::babble, now);
        break;
      }
      case State::sending:
      case State::awaiting:
        if (now >= settles_at_) {
          scan(Settled::yes, now);
        } else if (state_ == State::awaiting && now >= deadline_) {
          timed_out(now);
        } else {
          return {Step::Kind::wait,
                  {},
                  state_ == State::awaiting ? std::min(deadline_, settles_at_) : settles_at_};
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
  if (state_ != State::sending && state_ != State::awaiting) {
    stray(octets, now);
    return;
  }
  octets_in_exchange_ =
      static_cast<std::uint16_t>(std::min<std::size_t>(0xFFFF, octets_in_exchange_ + octets.size()));
  if (append(octets)) {
    scan(Settled::no, now);
  } else {
    fail(FailureKind::noise, now);
  }
}

template <typename Guards>
void Client<Guards>::stray(base::Octets octets, base::Instant now) {
  statistics_.octets_stray += static_cast<std::uint32_t>(octets.size());
  if (!Guards::stray_octets) {
    // What a client does that leaves them where they are: they are read as the next answer.
    if (!append(octets)) begin_ = end_ = 0;
    return;
  }
  suspect_ = true;
  if (state_ == State::pacing) plan(now);
}

template <typename Guards>
void Client<Guards>::damaged(base::Instant now) {
  quiet_since_ = std::max(quiet_since_, now);
  suspect_ = true;
  if (state_ == State::pacing) plan(now);
  if (state_ == State::sending || state_ == State::awaiting) damaged_ = true;
}

template <typename Guards>
void Client<Guards>::cancel(base::Instant now) {
  if (state_ == State::idle || state_ == State::finished) return;
  fail(FailureKind::cancelled, now);
}

template <typename Guards>
bool Client<Guards>::repeats_exception(std::uint8_t function, pdu::ExceptionCode code) const {
  return Guards::unlike_neighbours && function == last_exception_function_ && code == last_exception_;
}

// A frame that fits what was sent, with a right CRC.
template <typename Guards>
void Client<Guards>::answered(base::Octets adu, pdu::Match match, base::Instant now) {
  statistics_.answer_time_last = now - sent_at_;
  statistics_.answer_time_max = std::max(statistics_.answer_time_max, statistics_.answer_time_last);
  const pdu::Response response{rtu::pdu_of(adu)};
  const auto function = static_cast<std::uint8_t>(current_.function());
  if (damaged_) return fail(FailureKind::noise, now);
  if (stale_seen_) return fail(FailureKind::mismatch, now);
  auto code = pdu::ExceptionCode::none;
  if (match == pdu::Match::exception) {
    code = static_cast<pdu::ExceptionCode>(response.octets()[1]);
    if (repeats_exception(function, code)) {
      ++statistics_.frames_stale;
      return fail(FailureKind::mismatch, now);
    }
  }
  last_exception_function_ = match == pdu::Match::exception ? function : std::uint8_t{0};
  last_exception_ = code;
  if (foreign_seen_) suspect_ = true;
  if (exchange_ == Exchange::probe && statistics_.echo == Echo::unknown) statistics_.echo = Echo::absent;
  const bool trailing = begin_ != end_;
  if (trailing) {
    statistics_.octets_stray += static_cast<std::uint32_t>(end_ - begin_);
    if (Guards::stray_octets) suspect_ = true;
  }
  if (exchange_ != Exchange::request) {
    state_ = State::idle;
    return plan(now);
  }
  if (match == pdu::Match::answer) return finish(response);
  Failure failure;
  failure.kind = FailureKind::exception;
  failure.exception = code;
  failure.octets_received = octets_in_exchange_;
  failure.failed_attempts = static_cast<std::uint8_t>(failed_attempts_ + 1);
  failure.waited = now - sent_at_;
  finish(failure);
}

template <typename Guards>
void Client<Guards>::fenced(base::Instant now) {
  ++statistics_.frames_good;
  if (begin_ != end_) return fail(FailureKind::mismatch, now);
  suspect_ = false;
  fences_failed_ = 0;
  // Nothing from before it can come any more, so what follows has no neighbour.
  last_exception_function_ = 0;
  last_read_ = {};
  state_ = State::idle;
  plan(now);
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
  suspect_ = true;
  if (exchange_ == Exchange::fence) ++fences_failed_;
  switch (kind) {
    case FailureKind::collision: statistics_.echo = Echo::unknown; [[fallthrough]];
    case FailureKind::noise:
    case FailureKind::truncated: ++statistics_.frames_bad; break;
    default: break;
  }
  const bool refused = kind == FailureKind::fence_refused && code == pdu::ExceptionCode::illegal_function;
  const bool hopeless = kind == FailureKind::cancelled || kind == FailureKind::babble;
  const bool once = exchange_ == Exchange::request && retry_ == Retry::never && goal_ == Goal::request;
  if (refused || hopeless || once || failed_attempts_ > settings_.retries_max) return finish(failure);
  ++statistics_.retries;
  state_ = State::idle;
  plan(now);
}

template <typename Guards>
void Client<Guards>::timed_out(base::Instant now) {
  ++statistics_.timeouts;
  const base::Octets left = pending();
  const auto function = static_cast<std::uint8_t>(current_.function());
  const bool demands_echo = Guards::echo && statistics_.echo == Echo::present && !echo_seen_;
  FailureKind kind = FailureKind::silence;
  if (damaged_ || garbage_seen_) {
    kind = FailureKind::noise;
  } else if (stale_seen_) {
    kind = FailureKind::mismatch;
  } else if (!left.empty() && demands_echo) {
    kind = FailureKind::collision;
  } else if (left.size() >= 2 && left[0] == settings_.unit_address &&
             (left[1] & ~pdu::kExceptionFlag) == function) {
    kind = FailureKind::truncated;
  } else if (!left.empty()) {
    kind = FailureKind::noise;
  } else if (foreign_seen_) {
    kind = FailureKind::foreign;
  } else if (echo_seen_) {
    kind = FailureKind::echo_only;
  }
  fail(kind, now);
}

template <typename Guards>
void Client<Guards>::finish(const Outcome& outcome) {
  outcome_ = outcome;
  state_ = State::finished;
}

}  // namespace protocol::session
