#pragma once

// The part of the client that says what came of an exchange, and of the operation. See client_machine.hpp.

#include <algorithm>

#include "protocol/session/client.hpp"
#include "protocol/session/client_reader.hpp"

namespace protocol::session {

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
