#pragma once

// The part of the client that finds out whether anything older can still be in the line. See
// client_machine.hpp.
//
// A unit without 08 refuses the fence, and refuses it again. Then two reads take its place whose counts no
// read since the last fence had: an answer of such a length can only be to the read that asked for it, and
// what came in order behind it is new. Where so many registers can't be read, a silence as long as the unit's
// slowest answer does. Where nothing of that is known, the link goes on untrusted
// (Statistics::fences_missing), and carries no verdict if anything but the beginning of a session asked for
// the fence.
//
// Where every answer comes twice, each fence is followed by what asks for the next one; so an operation ends
// behind so many of them.

#include <algorithm>

#include "protocol/rtu/crc.hpp"
#include "protocol/session/client.hpp"
#include "protocol/session/client_reader.hpp"

namespace protocol::session {

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

// What a fence that is made of silence takes; with nothing known of the unit, as long as an answer is waited
// for.
template <typename Guards>
base::Duration Client<Guards>::fence_silence() const {
  if (state_ != State::kPacing || exchange_ != Exchange::kFence || fence_ < Fence::kSilence) return {};
  if (fence_ == Fence::kSilence) return settings_.answer_time_max + settings_.adapter_latency_max;
  return settings_.turnaround_max + settings_.adapter_latency_max + settings_.margin;
}

template <typename Guards>
typename Client<Guards>::Fence Client<Guards>::fence_kind() const {
  if (settings_.has_diagnostics && !no_diagnostics_) return Fence::kEcho;
  if (!no_fence_reads_ && unused_count() != 0) return Fence::kReads;
  return settings_.answer_time_max > base::Duration{} ? Fence::kSilence : Fence::kNone;
}

// The largest count of registers that no read has had since the last fence, or 0.
template <typename Guards>
std::uint16_t Client<Guards>::unused_count() const {
  std::uint16_t count = std::min(settings_.probe_registers_max, pdu::kReadRegistersMax);
  while (count > 0 && (counts_used_[count / 32] >> (count % 32) & 1U) != 0) --count;
  return count;
}

template <typename Guards>
void Client<Guards>::plan_fence() {
  exchange_ = Exchange::kFence;
  const Fence kind = fence_kind();
  if (kind != Fence::kReads || fence_ != Fence::kReads) fence_reads_done_ = 0;
  fence_ = kind;
  current_ = kind == Fence::kReads ? probe_read(unused_count()) : pdu::return_query_data(next_fence_word());
}

// A read in the place of a fence was answered. An old refusal may look like one of it, so one is not
// believed.
template <typename Guards>
void Client<Guards>::fence_read(pdu::Match match, base::Instant now) {
  if (match == pdu::Match::kException) {
    no_fence_reads_ = ++fence_reads_refused_ == 2;
    return fail(FailureKind::kMismatch, now);
  }
  if (++fence_reads_done_ == 2) return fenced(now);
  state_ = State::kIdle;
  plan(now);
}

template <typename Guards>
void Client<Guards>::fenced(base::Instant now) {
  if (begin_ != end_) return fail(FailureKind::kMismatch, now);
  if (++fences_passed_ > kFencesMax) {
    failed_attempts_ = settings_.retries_max;
    return fail(FailureKind::kMismatch, now);
  }
  trusted(now);
}

template <typename Guards>
void Client<Guards>::trusted(base::Instant now) {
  suspect_ = false;
  counts_used_ = {};
  fence_reads_done_ = 0;
  diagnostics_refused_ = 0;
  exchanges_ = 1;
  fences_failed_ = 0;
  // Nothing from before it can come any more, so what follows has no neighbour.
  last_exception_function_ = 0;
  last_read_ = {};
  state_ = State::kIdle;
  plan(now);
}

// Everything is thrown away until the very frame has come back; on a line that echoes, twice. A refusal of
// 08 ends it too. Both are looked for at every place, for what they stand behind may be of any kind.
template <typename Guards>
void Client<Guards>::scan_fence(base::Instant now) {
  constexpr std::size_t kRefusalSize = 5;
  const auto function = static_cast<std::uint8_t>(current_.function());
  for (std::size_t at = 0; begin_ + at + kRefusalSize <= end_; ++at) {
    const base::Octets octets = pending().subspan(at);
    if (octets.size() >= adu_.size && same_start(octets, adu_.octets())) {
      begin_ += at + adu_.size;
      if (!Guards::kEcho || statistics_.echo != Echo::kPresent || echo_seen_) {
        ++statistics_.frames_good;
        return fenced(now);
      }
      echo_seen_ = true;
      return scan_fence(now);
    }
    const base::Octets refusal = octets.first(kRefusalSize);
    if (refusal[0] == settings_.unit_address && refusal[1] == (function | pdu::kExceptionFlag) &&
        rtu::crc_holds(refusal)) {
      ++statistics_.frames_good;
      const auto code = static_cast<pdu::ExceptionCode>(refusal[2]);
      if (code != pdu::ExceptionCode::kIllegalFunction) return fail(FailureKind::kFenceRefused, now, code);
      // A frame that damage made of another refusal may look like one: a line without a fence for the rest of
      // a session takes two.
      no_diagnostics_ = ++diagnostics_refused_ == 2;
      begin_ = end_;
      state_ = State::kIdle;
      return plan(now);
    }
  }
  discard_old();
}

// Counts what came ahead of the fence: whole frames are old answers, the rest is noise.
template <typename Guards>
void Client<Guards>::discard_old() {
  while (begin_ != end_) {
    const base::Octets octets = pending();
    const pdu::Length length = rtu::response_length(octets);
    const bool unfinished = length.kind == pdu::Length::Kind::kMore ||
                            (length.kind == pdu::Length::Kind::kKnown && octets.size() < length.octets);
    // The fence may begin anywhere in what is still short of a frame.
    if (unfinished || same_start(octets, adu_.octets())) return;
    if (length.kind == pdu::Length::Kind::kKnown && rtu::crc_holds(octets.first(length.octets))) {
      begin_ += length.octets;
      ++statistics_.frames_stale;
      stale_seen_ = true;
    } else {
      ++begin_;
      garbage_seen_ = true;
    }
  }
}

}  // namespace protocol::session
