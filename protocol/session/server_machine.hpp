#pragma once

// The server's definitions, for server.cpp and for who answers otherwise than a Device does. Everyone else
// includes server.hpp.
//
// Theory of operation
//
// A bus carries the requests and answers of every unit, and two kinds of edge tell them apart: silence,
// which is certain but which a port may blur, and length, which is exact but says nothing about octets
// that are no frame. The server steps from frame to frame by length, starting only behind a silence or
// behind a frame whose CRC held. Each frame is tried as a request and as a response, so an answer of
// another unit is stepped over whole and what stands inside it is never read as a frame. The first octet
// that can't be explained makes the server deaf until the next silence.
//
// The answer is made where the request stood. What comes behind a request, before the silence that lets the
// answer go, is therefore thrown away: on a bus with one master nothing does but a driver switched off late.
//
//   state      event                                       action                             next
//   listening  whole request for this unit, or broadcast   execute; keep the answer, if any   answering
//   listening  whole frame of others                       step over it                       listening
//   listening  octets that are no frame by any length      throw away                         deaf
//   listening  silence behind an unfinished frame          if its CRC holds: execute          answering
//                                                          else throw it away                 listening
//   listening  damaged(), a pause longer than t1.5*        throw away                         deaf
//   deaf       octets                                      throw away                         deaf
//   deaf       silence                                                                        listening
//   answering  octets                                      throw away                         answering
//   answering  octets behind a silence                     the answer is too late: forget it  listening
//   answering  silence                                     send the answer, if any            listening
//
//   * with CharacterGap::kEnforced
//
// A function the tables do not know has no length; only a silence ends it, and then it is answered with
// exception 01 as the standard wants. In listen only mode (08/04) every request but 08/01 is left alone.

#include <algorithm>
#include <cassert>
#include <cstring>

#include "protocol/session/answer.hpp"
#include "protocol/session/server.hpp"

namespace protocol::session {

namespace server_detail {

// How the octets, an address first, stand as a frame whose PDU has the given size, in pdu::request_size()'s
// way: the size of a whole frame, or less than 0 for an unfinished one, or 0 when they are none.
// Where it stands it takes 20 octets less of a Cortex-M0+ than called.
[[gnu::always_inline]] inline int fit(base::Octets octets, int pdu_size) {
  if (pdu_size <= 0) return pdu_size;
  const std::size_t size = static_cast<std::size_t>(pdu_size) + rtu::kAduOverhead;
  if (octets.size() < size) return -1;
  return rtu::crc_holds(octets.first(size)) ? static_cast<int>(size) : 0;
}

// Sub-functions of 08 beside the counters. Source  AP V1.1b3, 6.8.1.
inline constexpr std::uint8_t kReturnQueryData = 0x00;
inline constexpr std::uint8_t kRestartCommunications = 0x01;
inline constexpr std::uint8_t kDiagnosticRegister = 0x02;
inline constexpr std::uint8_t kForceListenOnly = 0x04;
inline constexpr std::uint8_t kClearCounters = 0x0A;
inline constexpr std::uint8_t kClearOverruns = 0x14;
inline constexpr std::uint8_t kClearLog = 0xFF;  // high octet
inline constexpr std::size_t kDiagnosticsSize = 5;

}  // namespace server_detail

// Half of the clock's digits are enough: what they say wrong, 71 minutes after an octet, is asked only by a
// server that has thrown that octet away long since.
template <typename Unit>
std::uint32_t BasicServer<Unit>::since_last_octet_us(base::Instant now) const {
  return static_cast<std::uint32_t>(now.time_since_epoch().count()) - last_octet_us_;
}

template <typename Unit>
void BasicServer<Unit>::reset() {
  listen_only_ = false;
  forget();
}

template <typename Unit>
void BasicServer<Unit>::forget() {
  state_ = State::kListening;
  size_ = 0;
}

template <typename Unit>
void BasicServer<Unit>::received(base::Octets octets, base::Instant now) {
  if (octets.empty()) return;
  const std::uint32_t since_us = since_last_octet_us(now);
  last_octet_us_ += since_us;
  if (since_us >= silence_us_) {
    (void)silent();
  } else if (since_us > octet_gap_us_max_ && size_ > 0 && state_ == State::kListening) {
    state_ = State::kDeaf;
  }
  while (!octets.empty() && state_ == State::kListening) {
    const std::size_t piece = std::min(octets.size(), buffer_.size() - size_);
    std::memcpy(buffer_.data() + size_, octets.data(), piece);
    size_ = static_cast<std::uint16_t>(size_ + piece);
    octets = octets.subspan(piece);
    parse();
  }
}

template <typename Unit>
void BasicServer<Unit>::damaged(base::Instant now) {
  last_octet_us_ += since_last_octet_us(now);
  counters_.count(Counter::kOverruns);
  if (state_ == State::kListening) state_ = State::kDeaf;
}

template <typename Unit>
Step BasicServer<Unit>::step(base::Instant now) {
  const std::uint32_t since_us = since_last_octet_us(now);
  if (since_us >= silence_us_) {
    const std::size_t size = silent();
    if (size > 0) return {Step::Kind::kSend, {buffer_.data(), size}, now};
  }
  if (state_ == State::kListening && size_ == 0) return {};
  return {Step::Kind::kWait, {}, now + base::Duration{silence_us_ - since_us}};
}

template <typename Unit>
bool BasicServer<Unit>::for_us() const {
  return buffer_[0] == unit_address_ || buffer_[0] == pdu::kBroadcast;
}

// Consumes whole frames from the front of the buffer for as long as there are any.
template <typename Unit>
void BasicServer<Unit>::parse() {
  while (size_ > 0) {
    const base::Octets octets{buffer_.data(), size_};
    const base::Octets pdu = octets.subspan(1);
    const int pdu_size = pdu::request_size(pdu);
    int size = server_detail::fit(octets, pdu_size);
    if (size > 0 && for_us()) return execute(static_cast<std::size_t>(size));
    const bool unfinished = size < 0 || (pdu_size == 0 && for_us());
    if (size <= 0) size = server_detail::fit(octets, pdu::response_size(pdu));
    if (size <= 0) {
      if ((size == 0 && !unfinished) || size_ == buffer_.size()) state_ = State::kDeaf;
      return;
    }
    counters_.count(Counter::kBusMessages);
    size_ = static_cast<std::uint16_t>(size_ - size);
    std::memmove(buffer_.data(), buffer_.data() + size, size_);
  }
}

// A silence ends whatever was under way. Returns the size of the answer that is now to be sent, or 0.
template <typename Unit>
std::size_t BasicServer<Unit>::silent() {
  const bool unfinished = state_ == State::kListening && size_ > 0;
  if (unfinished && for_us() && rtu::crc_holds({buffer_.data(), size_})) {
    execute(size_);
  } else if (unfinished || state_ == State::kDeaf) {
    counters_.count(Counter::kCommunicationErrors);
    size_ = 0;
  }
  const std::size_t size = size_;
  forget();
  return size;
}

template <typename Unit>
void BasicServer<Unit>::execute(std::size_t frame_size) {
  state_ = State::kAnswering;
  size_ = 0;
  counters_.count(Counter::kBusMessages);
  counters_.count(Counter::kServerMessages);
  std::uint8_t* const pdu = buffer_.data() + 1;
  const bool broadcast = buffer_[0] == pdu::kBroadcast;
  const bool mute = broadcast || listen_only_;
  std::size_t size = 0;
  if (!broadcast && pdu[0] == static_cast<std::uint8_t>(pdu::FunctionCode::kDiagnostics) &&
      has_diagnostics(*unit_)) {
    size = diagnostics(pdu);
  } else if (!mute || (!listen_only_ && may_be_broadcast(pdu[0]))) {
    size = answer({pdu, kAnswerRoom}, frame_size - rtu::kAduOverhead, *unit_);
  }
  if (size == 0 || mute) return counters_.count(Counter::kNoResponses);
  if ((pdu[0] & pdu::kExceptionFlag) != 0) {
    counters_.count(Counter::kExceptions);
    if (pdu[1] == static_cast<std::uint8_t>(pdu::ExceptionCode::kServerDeviceBusy))
      counters_.count(Counter::kBusy);
  }
  size_ = static_cast<std::uint16_t>(rtu::seal_in_place(buffer_, size));
}

// 08, of which all but return query data looks at the port and not at the unit; 0 where there is no answer.
// Source  AP V1.1b3, 6.8.1.
template <typename Unit>
std::size_t BasicServer<Unit>::diagnostics(std::uint8_t* pdu) {
  const std::uint8_t function = pdu[1] == 0 ? pdu[2] : 0xFF;
  if (listen_only_ && function != server_detail::kRestartCommunications) return 0;
  if (function == server_detail::kReturnQueryData) return server_detail::kDiagnosticsSize;
  if (function != server_detail::kRestartCommunications || pdu[3] != server_detail::kClearLog) {
    if ((pdu[3] | pdu[4]) != 0) return refuse(pdu, pdu::ExceptionCode::kIllegalDataValue);
  }
  if (function >= kCounterFirst && function <= kCounterLast) {
    base::WordSink{pdu + 3, 1}.set(0, counters_[static_cast<Counter>(function)]);
    return server_detail::kDiagnosticsSize;
  }
  switch (function) {
    case server_detail::kDiagnosticRegister:
      return server_detail::kDiagnosticsSize;  // nothing is kept there: 0, as was sent
    case server_detail::kForceListenOnly: listen_only_ = true; return 0;
    case server_detail::kClearOverruns:
      counters_.clear(Counter::kOverruns);
      return server_detail::kDiagnosticsSize;
    case server_detail::kRestartCommunications: listen_only_ = false; [[fallthrough]];
    case server_detail::kClearCounters: counters_.clear(); return server_detail::kDiagnosticsSize;
    default: return refuse(pdu, pdu::ExceptionCode::kIllegalFunction);
  }
}

}  // namespace protocol::session
