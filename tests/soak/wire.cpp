#include "tests/soak/wire.hpp"

#include <algorithm>

#include "protocol/pdu/request.hpp"

namespace tests::soak {

using protocol::base::microseconds;
using protocol::session::Step;

Wire::Wire(const Mix& mix, std::uint64_t seed, protocol::session::Device& device)
    : mix_{mix}, dice_{seed}, device_{device}, server_{{kUnit, kLine, {}}, device_} {}

bool Wire::strikes(Fault fault) {
  const auto at = static_cast<std::size_t>(fault);
  if (mix_.chance[at] == 0 || (dice_.next() >> 48) >= mix_.chance[at]) return false;
  ++counts_.hits[at];
  return true;
}

void Wire::deliver(Octets octets, Instant at, bool damaged) {
  if (!queue_.empty()) at = std::max(at, queue_.back().at);
  Piece& piece = queue_.emplace_back();
  piece.at = at;
  piece.damaged = damaged;
  piece.size = static_cast<std::uint16_t>(octets.size());
  std::copy(octets.begin(), octets.end(), piece.storage.begin());
}

// One to six different bits.
void Wire::turn_bits(Frame& frame) {
  std::array<std::uint32_t, 6> turned{};
  const std::uint32_t count = 1 + dice_.below(6);
  for (std::uint32_t i = 0; i < count; ++i) {
    auto* const end = turned.begin() + i;
    do {
      *end = dice_.below(std::uint32_t{frame.size} * 8);
    } while (std::find(turned.begin(), end, *end) != end);
    frame.storage[*end / 8] = static_cast<std::uint8_t>(frame.storage[*end / 8] ^ (1U << (*end % 8)));
  }
  if (count >= 4 && count % 2 == 0) ++counts_.frames_turned_evenly;
}

void Wire::transmit(Octets octets, Instant now) {
  ++counts_.requests;
  Frame request;
  request.size = static_cast<std::uint16_t>(octets.size());
  std::copy(octets.begin(), octets.end(), request.storage.begin());
  const Instant arrived = std::max(server_now_, now) + kLine.wire_time(octets.size());
  if (mix_.echo) deliver(octets, now + kLine.wire_time(octets.size()));
  server_now_ = arrived;
  device_.busy = strikes(Fault::kBusy);
  if (strikes(Fault::kRequestLost)) return;
  const bool damaged = strikes(Fault::kRequestBits);
  if (damaged) turn_bits(request);
  if (strikes(Fault::kReset)) {
    const std::size_t half = 1 + dice_.below(request.size - 1U);
    server_.received(request.octets().first(half), server_now_);
    server_.reset();
    server_.received(request.octets().subspan(half), server_now_);
  } else {
    server_.received(request.octets(), server_now_);
  }
  if (strikes(Fault::kForeign)) talk_of_others(server_now_);
  for (;;) {
    const Step step = server_.step(server_now_);
    if (step.kind == Step::Kind::kIdle) return;
    if (step.kind == Step::Kind::kWait) server_now_ = step.until;
    if (step.kind == Step::Kind::kSend) {
      executed_damaged_ = executed_damaged_ || damaged;
      Frame frame;
      frame.size = static_cast<std::uint16_t>(step.octets.size());
      std::copy(step.octets.begin(), step.octets.end(), frame.storage.begin());
      answer(frame, server_now_);
    }
  }
}

// Another master asks another unit, on the same wire: everybody hears both.
void Wire::talk_of_others(Instant at) {
  const auto count = static_cast<std::uint16_t>(1 + dice_.below(4));
  const auto address = static_cast<std::uint16_t>(dice_.below(0x8000));
  const Frame request =
      protocol::rtu::seal(kOther, protocol::pdu::read_input_registers(address, count).octets());
  Frame answer;
  answer.storage = {kOther, 0x04, static_cast<std::uint8_t>(count * 2)};
  for (std::size_t i = 0; i < count * std::size_t{2}; ++i)
    answer.storage[3 + i] = static_cast<std::uint8_t>(dice_.below(256));
  answer.size =
      static_cast<std::uint16_t>(protocol::rtu::seal_in_place(answer.storage, 2 + count * std::size_t{2}));
  for (const Frame* frame : {&request, static_cast<const Frame*>(&answer)}) {
    server_.received(frame->octets(), at);
    deliver(frame->octets(), at);
  }
}

// The same answer from another unit, its words not the ones asked.
Wire::Frame Wire::others_like(const Frame& frame) const {
  Frame other = frame;
  other.storage[0] = kOther;
  for (std::size_t i = 3; i + 2 < other.size; ++i)
    other.storage[i] = static_cast<std::uint8_t>(other.storage[i] ^ 0x55U);
  (void)protocol::rtu::seal_in_place(other.storage, other.size - protocol::rtu::kAduOverhead);
  return other;
}

void Wire::answer(Frame frame, Instant at) {
  sent_[sent_at_++ % sent_.size()] = frame;
  const Frame whole = frame;
  if (strikes(Fault::kAnswerLost)) return;
  at += kLine.wire_time(frame.size);
  if (strikes(Fault::kLate)) at += microseconds(15'000 + dice_.below(426'000));
  if (strikes(Fault::kImpostor)) deliver(others_like(frame).octets(), at);
  if (strikes(Fault::kAnswerBits)) turn_bits(frame);
  if (strikes(Fault::kClash)) {
    Frame other = others_like(frame);
    other.storage[0] = frame.storage[0];
    (void)protocol::rtu::seal_in_place(other.storage, other.size - protocol::rtu::kAduOverhead);
    for (std::size_t i = 0; i < frame.size; ++i) frame.storage[i] = frame.storage[i] & other.storage[i];
    ++counts_.frames_garbled;
  }
  if (strikes(Fault::kOctetLost)) {
    const std::size_t lost = dice_.below(frame.size);
    std::copy(frame.storage.begin() + static_cast<std::ptrdiff_t>(lost) + 1,
              frame.storage.begin() + frame.size, frame.storage.begin() + static_cast<std::ptrdiff_t>(lost));
    --frame.size;
    ++counts_.frames_garbled;
  }
  std::array<std::uint8_t, 16> junk{};
  junk.fill(dice_.below(2) == 0 ? 0x00 : 0xFF);
  if (strikes(Fault::kJunk)) deliver(Octets{junk}.first(1 + dice_.below(16)), at);
  if (strikes(Fault::kMarked)) {
    const std::size_t half = dice_.below(frame.size);
    deliver(frame.octets().first(half), at, true);
    deliver(frame.octets().subspan(half), at);
  } else if (dice_.below(8) == 0) {
    const std::size_t half = dice_.below(frame.size);
    deliver(frame.octets().first(half), at);
    deliver(frame.octets().subspan(half), at + microseconds(dice_.below(3'000)));
  } else {
    deliver(frame.octets(), at);
  }
  if (strikes(Fault::kTrailing)) deliver(Octets{junk}.first(1 + dice_.below(3)), at);
  if (strikes(Fault::kJoined)) {
    // In the very piece of the answer, as a buffering adapter hands it over.
    Piece& last = queue_.back();
    const Frame other = others_like(whole);
    if (last.size + other.size <= last.storage.size()) {
      std::copy_n(other.storage.begin(), other.size, last.storage.begin() + last.size);
      last.size = static_cast<std::uint16_t>(last.size + other.size);
    }
  }
  if (before_.size > 0 && strikes(Fault::kRepeated)) deliver(before_.octets(), at + microseconds(100));
  if (strikes(Fault::kDoubled)) deliver(whole.octets(), at + microseconds(dice_.below(50'000)));
  before_ = whole;
}

void Wire::begin() {
  operation_begins_ = sent_at_;
  executed_damaged_ = false;
}

bool Wire::was_sent(Octets pdu, std::size_t since) const {
  const std::size_t kept = std::min(sent_at_ - since, sent_.size());
  for (std::size_t back = 1; back <= kept; ++back) {
    const Octets sent = protocol::rtu::pdu_of(sent_[(sent_at_ - back) % sent_.size()].octets());
    if (std::equal(sent.begin(), sent.end(), pdu.begin(), pdu.end())) return true;
  }
  return false;
}

}  // namespace tests::soak
