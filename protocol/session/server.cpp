#include "protocol/session/server.hpp"

#include <algorithm>
#include <cassert>

#include "protocol/session/answer.hpp"

// Theory of operation
//
// A bus carries the requests and answers of every unit, and two kinds of edge tell them apart: silence,
// which is certain but which a port may blur, and length, which is exact but says nothing about octets
// that are no frame. The server steps from frame to frame by length, starting only behind a silence or
// behind a frame whose CRC held. Each frame is tried as a request and as a response, so an answer of
// another unit is stepped over whole and what stands inside it is never read as a frame. The first octet
// that can't be explained makes the server deaf until the next silence.
//
//   state      event                                       action                       next
//   listening  whole request for this unit, or a broadcast execute; keep the answer     answering, listening
//   listening  whole frame of others                       step over it                 listening
//   listening  octets that are no frame by any length      throw away                   deaf
//   listening  silence behind an unfinished frame          if its CRC holds: execute    answering, listening
//                                                          else throw it away           listening
//   listening  damaged()                                   throw away                   deaf
//   deaf       octets                                      throw away                   deaf
//   deaf       silence                                                                  listening
//   answering  octets                                      keep them for afterwards     answering
//   answering  silence                                     send the answer              listening
//
// A function the tables do not know has no length; only a silence ends it, and then it is answered with
// exception 01 as the standard wants.

namespace protocol::session {

namespace {

enum class Fit : std::uint8_t { kWhole, kUnfinished, kNone };

// How the octets stand as a frame of the given length.
Fit fit(base::Octets octets, pdu::Length length) {
  switch (length.kind) {
    case pdu::Length::Kind::kMore: return Fit::kUnfinished;
    case pdu::Length::Kind::kUnknown: return Fit::kNone;
    case pdu::Length::Kind::kKnown: break;
  }
  if (octets.size() < length.octets) return Fit::kUnfinished;
  return rtu::crc_holds(octets.first(length.octets)) ? Fit::kWhole : Fit::kNone;
}

}  // namespace

Server::Server(const ServerSettings& settings, Device& device) : settings_{settings}, device_{&device} {
  assert(settings.unit_address >= 1 && settings.unit_address <= pdu::kUnitAddressMax);
}

base::Duration Server::silence() const {
  return std::max(settings_.silence, settings_.timing.frame_gap());
}

void Server::reset() {
  state_ = State::kListening;
  size_ = 0;
}

void Server::received(base::Octets octets, base::Instant now) {
  if (octets.empty()) return;
  if (state_ != State::kAnswering && now - last_octet_ >= silence()) silent();
  last_octet_ = now;
  if (state_ == State::kDeaf) return;
  if (octets.size() > buffer_.size() - size_) {
    size_ = 0;
    if (state_ == State::kListening) state_ = State::kDeaf;
    return;
  }
  std::copy(octets.begin(), octets.end(), buffer_.begin() + static_cast<std::ptrdiff_t>(size_));
  size_ += octets.size();
  parse();
}

void Server::damaged(base::Instant now) {
  last_octet_ = now;
  size_ = 0;
  if (state_ == State::kListening) state_ = State::kDeaf;
}

Step Server::step(base::Instant now) {
  parse();
  const base::Instant quiet_at = last_octet_ + silence();
  if (now >= quiet_at && state_ != State::kAnswering) silent();
  if (state_ == State::kAnswering) {
    if (now < quiet_at) return {Step::Kind::kWait, {}, quiet_at};
    state_ = State::kListening;
    ++counts_.answers;
    return {Step::Kind::kSend, answer_.octets(), now};
  }
  if (state_ == State::kDeaf || size_ > 0) return {Step::Kind::kWait, {}, quiet_at};
  return {};
}

// Consumes whole frames from the front of the buffer for as long as there are any.
void Server::parse() {
  while (state_ == State::kListening && size_ > 0) {
    const base::Octets octets{buffer_.data(), size_};
    const bool for_us = octets[0] == settings_.unit_address || octets[0] == pdu::kBroadcast;
    const pdu::Length request_length = rtu::request_length(octets);
    const Fit request = fit(octets, request_length);
    if (request == Fit::kWhole) {
      if (for_us) {
        execute(octets.first(request_length.octets));
      } else {
        ++counts_.frames_others;
      }
      consume(request_length.octets);
      continue;
    }
    const pdu::Length response_length = rtu::response_length(octets);
    const Fit response = fit(octets, response_length);
    if (response == Fit::kWhole) {
      ++counts_.frames_others;
      consume(response_length.octets);
      continue;
    }
    const bool only_silence_ends_it = for_us && request_length.kind == pdu::Length::Kind::kUnknown;
    if (request == Fit::kNone && response == Fit::kNone && !only_silence_ends_it) {
      size_ = 0;
      state_ = State::kDeaf;
    }
    return;
  }
}

void Server::silent() {
  if (state_ == State::kDeaf) ++counts_.frames_bad;
  state_ = State::kListening;
  if (size_ == 0) return;
  const base::Octets octets{buffer_.data(), size_};
  const bool for_us = octets[0] == settings_.unit_address || octets[0] == pdu::kBroadcast;
  if (for_us && octets.size() <= rtu::kAduSizeMax && rtu::crc_holds(octets)) {
    execute(octets);
  } else {
    ++counts_.frames_bad;
  }
  size_ = 0;
}

void Server::execute(base::Octets frame) {
  ++counts_.requests;
  const base::Octets request = rtu::pdu_of(frame);
  const bool broadcast = frame[0] == pdu::kBroadcast;
  if (broadcast && !may_be_broadcast(request)) return;
  const Answer made = answer(request, *device_);
  if (made.exception != pdu::ExceptionCode::kNone) ++counts_.exceptions;
  if (broadcast) return;
  answer_ = rtu::seal(settings_.unit_address, made.octets());
  state_ = State::kAnswering;
}

void Server::consume(std::size_t octets) {
  std::copy(buffer_.begin() + static_cast<std::ptrdiff_t>(octets),
            buffer_.begin() + static_cast<std::ptrdiff_t>(size_), buffer_.begin());
  size_ -= octets;
}

}  // namespace protocol::session
