#pragma once

#include <algorithm>
#include <cstdint>
#include <deque>
#include <optional>
#include <random>
#include <span>
#include <string_view>
#include <vector>

#include "protocol/rtu/frame.hpp"
#include "protocol/session/client.hpp"
#include "protocol/session/device.hpp"
#include "protocol/session/server.hpp"

namespace tests::session {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::base::Octets;
using protocol::pdu::ExceptionCode;
using protocol::session::Step;
using protocol::session::Table;

/// A unit whose registers hold their own address, so that a value tells where it was read. Input registers
/// from kAbsent on do not exist. One holding register, kScratch, can be written.
class AddressDevice final : public protocol::session::Device {
 public:
  static constexpr std::uint16_t kScratch = 0x0200;
  static constexpr std::uint16_t kAbsent = 0xF000;

  ExceptionCode read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) override {
    if (address + words.size() > kAbsent) return ExceptionCode::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i, ++address) {
      words.set(i, table == Table::kHolding && address == kScratch ? scratch : address);
    }
    return ExceptionCode::kNone;
  }
  ExceptionCode write_registers(std::uint16_t address, protocol::base::Words words) override {
    if (address != kScratch || words.size() != 1) return ExceptionCode::kIllegalDataAddress;
    scratch = words[0];
    ++writes;
    return ExceptionCode::kNone;
  }
  protocol::session::Object identification(std::uint8_t id) override {
    if (id <= 2) return {true, std::string_view{"Tram depot"}.substr(id)};
    if (id == 0x80) return {true, "alder"};
    return {};
  }

  std::uint16_t scratch = 0;
  int writes = 0;
};

/// What a line does to traffic. Chances are per answer, in 1/1000.
struct Mix {
  std::uint32_t late = 0;      ///< held back 15..441 ms; what follows waits behind it
  std::uint32_t doubled = 0;   ///< said twice, the copy 0..50 ms later, ahead of what follows
  std::uint32_t repeated = 0;  ///< the answer before this one comes again, just behind this one
  std::uint32_t lost = 0;      ///< never comes
  std::uint32_t unheard = 0;   ///< the request never reaches the unit
  std::uint32_t flipped = 0;   ///< one to three bits of it turned
  std::uint32_t foreign = 0;   ///< another unit's answer of the same shape comes first
  bool echo = false;           ///< what the client sends comes back at once
};

/// A wire in virtual time between one client and one server, first in first out. Counts what it does.
class Line {
 public:
  Line(const Mix& mix, std::uint64_t seed, std::uint8_t unit_address = 1)
      : mix_{mix}, random_{seed}, server_{{unit_address, {115200, 10}, {}}, device} {}

  /// Octets from the client. Precondition: now never goes backwards.
  void transmit(Octets octets, Instant now) {
    const Duration wire = protocol::rtu::LineTiming{115200, 10}.wire_time(octets.size());
    if (mix_.echo) deliver({octets.begin(), octets.end()}, now + wire);
    if (hit(mix_.unheard, hits.unheard)) return;
    server_now_ = std::max(server_now_, now) + wire;
    server_.received(octets, server_now_);
    for (;;) {
      const Step step = server_.step(server_now_);
      if (step.kind == Step::Kind::kIdle) return;
      if (step.kind == Step::Kind::kWait) server_now_ = step.until;
      if (step.kind == Step::Kind::kSend) answer(step.octets, server_now_);
    }
  }

  [[nodiscard]] Instant next() const { return queue_.empty() ? Instant::max() : queue_.front().at; }

  std::vector<std::uint8_t> take() {
    std::vector<std::uint8_t> octets = std::move(queue_.front().octets);
    queue_.pop_front();
    return octets;
  }

  std::uint32_t below(std::uint32_t bound) { return static_cast<std::uint32_t>(random_() % bound); }

  AddressDevice device;
  struct {
    std::uint32_t late = 0, doubled = 0, repeated = 0, lost = 0, unheard = 0, flipped = 0, foreign = 0;
  } hits;

 private:
  struct Delivery {
    Instant at;
    std::vector<std::uint8_t> octets;
  };

  bool hit(std::uint32_t chance, std::uint32_t& hits_of_it) {
    if (chance == 0 || below(1000) >= chance) return false;
    ++hits_of_it;
    return true;
  }

  void deliver(std::vector<std::uint8_t> octets, Instant at) {
    if (!queue_.empty()) at = std::max(at, queue_.back().at);
    queue_.push_back({at, std::move(octets)});
  }

  void answer(Octets octets, Instant at) {
    std::vector<std::uint8_t> frame{octets.begin(), octets.end()};
    if (hit(mix_.lost, hits.lost)) return;
    at += protocol::rtu::LineTiming{115200, 10}.wire_time(frame.size());
    if (hit(mix_.late, hits.late)) at += microseconds(15'000 + below(426'000));
    if (hit(mix_.foreign, hits.foreign)) deliver(foreign(frame), at);
    const std::vector<std::uint8_t> whole = frame;
    if (hit(mix_.flipped, hits.flipped)) {
      for (std::uint32_t flips = 1 + below(3); flips > 0; --flips) {
        const std::uint32_t bit = below(static_cast<std::uint32_t>(frame.size() * 8));
        frame[bit / 8] = static_cast<std::uint8_t>(frame[bit / 8] ^ (1U << (bit % 8)));
      }
    }
    deliver(frame, at);
    if (!before_.empty() && hit(mix_.repeated, hits.repeated)) deliver(before_, at + microseconds(100));
    if (hit(mix_.doubled, hits.doubled)) deliver(whole, at + microseconds(below(50'000)));
    before_ = whole;
  }

  // The same answer from unit 2, its words not the ones asked.
  static std::vector<std::uint8_t> foreign(const std::vector<std::uint8_t>& frame) {
    std::vector<std::uint8_t> pdu{frame.begin() + 1, frame.end() - 2};
    for (std::size_t i = 2; i < pdu.size(); ++i) pdu[i] = static_cast<std::uint8_t>(pdu[i] ^ 0x55U);
    const protocol::rtu::Adu adu = protocol::rtu::seal(2, pdu);
    return {adu.octets().begin(), adu.octets().end()};
  }

  Mix mix_;
  std::mt19937_64 random_;
  protocol::session::Server server_;
  Instant server_now_{};
  std::deque<Delivery> queue_;
  std::vector<std::uint8_t> before_;
};

/// Runs the operation under way to its end; `now` is moved along.
template <typename Client>
void drive(Client& client, Line& line, Instant& now) {
  for (;;) {
    const Step step = client.step(now);
    if (step.kind == Step::Kind::kFinished || step.kind == Step::Kind::kIdle) return;
    if (step.kind == Step::Kind::kSend) {
      line.transmit(step.octets, now);
      client.sent(now);
      continue;
    }
    if (line.next() <= step.until) {
      now = std::max(now, line.next());
      client.received(line.take(), now);
    } else {
      now = step.until;
    }
  }
}

/// Lets `time` pass without an operation; what comes is stray.
template <typename Client>
void idle(Client& client, Line& line, Instant& now, Duration time) {
  const Instant until = now + time;
  while (line.next() <= until) {
    now = std::max(now, line.next());
    client.received(line.take(), now);
  }
  now = std::max(now, until);
}

}  // namespace tests::session
