#pragma once

// The half of the client that reads: what the octets of an exchange are. See client_machine.hpp.
//
// A frame ends by its computed length, never by a pause, for a port delivers octets in bursts. Octets that
// can't begin any frame (a floating bus gives 00 or FF at turnaround) are stepped over, 16 at most. A frame
// found behind such octets counts only when nothing follows it for t3.5, and an octet pair that does begin an
// answer of ours ends the search: what stands inside a payload, a log record or an identification, is never
// taken for a frame.

#include <algorithm>

#include "protocol/rtu/crc.hpp"
#include "protocol/session/client.hpp"

namespace protocol::session {

// The frame sent, or the part of it that has come, at the head of `octets`.
[[nodiscard]] inline bool same_start(base::Octets octets, base::Octets frame) {
  return std::equal(octets.begin(),
                    octets.begin() + static_cast<std::ptrdiff_t>(std::min(octets.size(), frame.size())),
                    frame.begin());
}

// False when they do not fit: more than two frames without one that counts.
template <typename Guards>
bool Client<Guards>::append(base::Octets octets) {
  if (begin_ > 0) {
    std::copy(buffer_.begin() + static_cast<std::ptrdiff_t>(begin_),
              buffer_.begin() + static_cast<std::ptrdiff_t>(end_), buffer_.begin());
    end_ -= begin_;
    begin_ = 0;
  }
  if (octets.size() > buffer_.size() - end_) return false;
  std::copy(octets.begin(), octets.end(), buffer_.begin() + static_cast<std::ptrdiff_t>(end_));
  end_ += octets.size();
  return true;
}

template <typename Guards>
void Client<Guards>::scan(Settled settled, base::Instant now) {
  settles_at_ = base::Instant::max();
  if (exchange_ == Exchange::kFence && fence_ == Fence::kEcho) return scan_fence(now);
  if (!echo_done(now)) return;
  std::size_t skip = 0;
  while (skip < pending().size()) {
    if (skipped_ + skip > kLeadingOctetsMax) return fail(FailureKind::kNoise, now);
    const base::Octets rest = pending().subspan(skip);
    const Look look = look_at(rest);
    switch (look.kind) {
      case Look::Kind::kNothing: ++skip; continue;
      case Look::Kind::kUnfinished: return;
      case Look::Kind::kCondemned: return fail(FailureKind::kNoise, now);
      case Look::Kind::kOurs:
        if (skip > 0 && rest.size() > look.size) return fail(FailureKind::kNoise, now);
        if (skip > 0 && settled == Settled::kNo) {
          settles_at_ = now + settings_.timing.frame_gap();
          return;
        }
        break;
      case Look::Kind::kOthers: break;
    }
    begin_ += skip + look.size;
    skipped_ += skip;
    statistics_.octets_skipped += static_cast<std::uint32_t>(skip);
    skip = 0;
    if (look.kind == Look::Kind::kOthers) {
      ++statistics_.frames_foreign;
      foreign_seen_ = true;
    } else if (take(rest.first(look.size), now)) {
      return;
    }
  }
}

// What a client takes that has a guard switched off.
template <typename Guards>
pdu::Match Client<Guards>::forgiven(pdu::Match match, base::Octets pdu) const {
  const bool read = current_.is_read();
  const bool shape = read && match == pdu::Match::kShape;
  if (!Guards::kExactLength && shape) return pdu::Match::kAnswer;
  if (!Guards::kByteCount && shape && pdu.size() > current_.answer_size_max()) return pdu::Match::kAnswer;
  if (!Guards::kFunction && read && match == pdu::Match::kFunction) return pdu::Match::kAnswer;
  if (!Guards::kExceptionBit && match == pdu::Match::kException) return pdu::Match::kAnswer;
  return match;
}

// One whole frame from our unit: true when it ended the exchange.
template <typename Guards>
bool Client<Guards>::take(base::Octets frame, base::Instant now) {
  ++statistics_.frames_good;
  pdu::Match match = pdu::match(current_, rtu::pdu_of(frame));
  match = forgiven(match, rtu::pdu_of(frame));
  if (match == pdu::Match::kAnswer || match == pdu::Match::kException) {
    answered(frame, match, now);
    return true;
  }
  ++statistics_.frames_stale;
  stale_seen_ = true;
  return false;
}

template <typename Guards>
typename Client<Guards>::Look Client<Guards>::look_at(base::Octets octets) {
  const std::uint8_t unit = octets[0];
  if (unit == pdu::kBroadcast || unit > pdu::kUnitAddressMax) return {};
  if (octets.size() < 2) return {Look::Kind::kUnfinished, 0};
  const bool ours = !Guards::kAddress || unit == settings_.unit_address;
  const std::uint8_t function = octets[1] & static_cast<std::uint8_t>(~pdu::kExceptionFlag);
  if (ours && function == static_cast<std::uint8_t>(current_.function())) return look_at_ours(octets);

  bool unfinished = false;
  for (const pdu::Length length : {rtu::response_length(octets), rtu::request_length(octets)}) {
    if (length.kind == pdu::Length::Kind::kUnknown) continue;
    if (length.kind == pdu::Length::Kind::kMore || octets.size() < length.octets) {
      unfinished = true;
    } else if (rtu::crc_holds(octets.first(length.octets))) {
      return {ours ? Look::Kind::kOurs : Look::Kind::kOthers, length.octets};
    }
  }
  return {unfinished ? Look::Kind::kUnfinished : Look::Kind::kNothing, 0};
}

// Address and function are right, so this is the answer, or what is left of it.
template <typename Guards>
typename Client<Guards>::Look Client<Guards>::look_at_ours(base::Octets octets) {
  const pdu::Length length = rtu::response_length(octets);
  if (length.kind == pdu::Length::Kind::kUnknown) return {Look::Kind::kCondemned, 0};
  if (length.kind == pdu::Length::Kind::kMore || octets.size() < length.octets) {
    return {Look::Kind::kUnfinished, 0};
  }
  const base::Octets frame = octets.first(length.octets);
  const bool half = !Guards::kCrcHighOctet &&
                    ((rtu::crc16(frame.first(frame.size() - 2)) ^ rtu::carried_crc(frame)) & 0xFFU) == 0;
  if (!Guards::kCrc || half || rtu::crc_holds(frame)) return {Look::Kind::kOurs, length.octets};
  crc_expected_ = rtu::crc16(frame.first(frame.size() - 2));
  crc_received_ = rtu::carried_crc(frame);
  return {Look::Kind::kCondemned, 0};
}

// Whether what follows may be looked at as an answer.
template <typename Guards>
bool Client<Guards>::echo_done(base::Instant now) {
  if (!Guards::kEcho || echo_seen_) return true;
  const base::Octets octets = pending();
  if (statistics_.echo == Echo::kPresent) {
    if (find_echo()) return true;
    if (octets.size() >= kLeadingOctetsMax + adu_.size) fail(FailureKind::kCollision, now);
    return false;
  }
  if (!current_.is_read()) return true;
  const auto begin = std::find(octets.begin(), octets.end(), settings_.unit_address);
  const base::Octets ours = octets.subspan(static_cast<std::size_t>(begin - octets.begin()));
  if (ours.empty() || !same_start(ours, adu_.octets())) return true;
  if (ours.size() < adu_.size) return false;
  if (exchange_ == Exchange::kProbe) {
    statistics_.echo = Echo::kPresent;
    return find_echo();
  }
  // A line that did not echo does now: another adapter, or another setting of it.
  fail(FailureKind::kCollision, now);
  return false;
}

// Steps over the echo, which stands first but for what a floating bus puts ahead of it.
template <typename Guards>
bool Client<Guards>::find_echo() {
  const base::Octets octets = pending();
  for (std::size_t skip = 0; skip <= kLeadingOctetsMax && skip + adu_.size <= octets.size(); ++skip) {
    if (!same_start(octets.subspan(skip), adu_.octets())) continue;
    begin_ += skip + adu_.size;
    skipped_ += skip;
    echo_seen_ = true;
    return true;
  }
  return false;
}

// What an exchange ended by its deadline was, by what is left.
template <typename Guards>
void Client<Guards>::timed_out(base::Instant now) {
  ++statistics_.timeouts;
  const base::Octets left = pending();
  const auto function = static_cast<std::uint8_t>(current_.function());
  const bool demands_echo = Guards::kEcho && statistics_.echo == Echo::kPresent && !echo_seen_;
  FailureKind kind = FailureKind::kSilence;
  if (damaged_ || garbage_seen_) {
    kind = FailureKind::kNoise;
  } else if (stale_seen_) {
    kind = FailureKind::kMismatch;
  } else if (!left.empty() && demands_echo) {
    kind = FailureKind::kCollision;
  } else if (left.size() >= 2 && left[0] == settings_.unit_address &&
             (left[1] & ~pdu::kExceptionFlag) == function) {
    kind = FailureKind::kTruncated;
  } else if (!left.empty()) {
    kind = FailureKind::kNoise;
  } else if (foreign_seen_) {
    kind = FailureKind::kForeign;
  } else if (echo_seen_) {
    kind = FailureKind::kEchoOnly;
  }
  fail(kind, now);
}

}  // namespace protocol::session
