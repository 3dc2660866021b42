#pragma once

#include <cstdint>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/rtu/frame.hpp"
#include "protocol/session/client.hpp"

namespace tests::session {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::base::Octets;
using protocol::session::Client;
using protocol::session::ClientSettings;
using protocol::session::Outcome;
using protocol::session::Step;

using Bytes = std::vector<std::uint8_t>;

/// A PDU with address and CRC.
inline Bytes sealed(std::uint8_t unit_address, const Bytes& pdu) {
  const protocol::rtu::Adu adu = protocol::rtu::seal(unit_address, pdu);
  return {adu.octets().begin(), adu.octets().end()};
}

inline Bytes operator+(Bytes a, const Bytes& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

/// A client and whoever the test plays at the other end, at unit address 17, 115200 Bd 8N1.
class Talk {
 public:
  static constexpr std::uint8_t kUnit = 0x11;

  static ClientSettings settings() {
    ClientSettings settings;
    settings.unit_address = kUnit;
    settings.timing = {115200, 10};
    return settings;
  }

  explicit Talk(const ClientSettings& given = settings()) : client{given} {}

  /// Lets time pass until the client sends, and gives what it sends.
  Bytes sends() {
    for (;;) {
      const Step step = client.step(now);
      REQUIRE((step.kind == Step::Kind::kSend || step.kind == Step::Kind::kWait));
      if (step.kind == Step::Kind::kSend) {
        const Bytes octets{step.octets.begin(), step.octets.end()};
        client.sent(now);
        return octets;
      }
      REQUIRE(step.until > now);
      now = step.until;
    }
  }

  /// Octets come, `later` after the last thing that happened.
  void hears(const Bytes& octets, Duration later = milliseconds(2)) {
    now += later;
    client.received(octets, now);
  }

  /// Whether the operation has ended without any time passing.
  bool ended() { return client.step(now).kind == Step::Kind::kFinished; }

  /// Lets time pass, without an octet coming, until the operation ends; sends go unanswered.
  const Outcome& ends() {
    for (;;) {
      const Step step = client.step(now);
      if (step.kind == Step::Kind::kFinished) return client.outcome();
      REQUIRE(step.kind != Step::Kind::kIdle);
      if (step.kind == Step::Kind::kSend) {
        client.sent(now);
      } else {
        REQUIRE(step.until > now);
        now = step.until;
      }
    }
  }

  /// Expects a fence and answers it.
  void fence() {
    const Bytes sent = sends();
    REQUIRE(sent.size() == 8);
    REQUIRE(sent[1] == 0x08);
    hears(sent);
  }

  /// Expects the probe and answers it with zeros.
  void probe() {
    const Bytes sent = sends();
    REQUIRE(sent.size() == 8);
    REQUIRE(sent[1] == 0x03);
    Bytes pdu{0x03, static_cast<std::uint8_t>(sent[5] * 2)};
    pdu.resize(2 + std::size_t{sent[5]} * 2);
    hears(sealed(kUnit, pdu));
  }

  /// Opens the link: probe and fence answered.
  Talk& open() {
    client.open(now);
    probe();
    fence();
    REQUIRE(ended());
    REQUIRE(client.outcome().ok());
    return *this;
  }

  void asks(const protocol::pdu::Request& request) { client.request(request, now); }

  Client<> client;
  Instant now{milliseconds(1000)};
};

/// The answer of unit 17 to a read of input registers.
inline Bytes words(std::initializer_list<std::uint16_t> values) {
  Bytes pdu{0x04, static_cast<std::uint8_t>(values.size() * 2)};
  for (const std::uint16_t value : values) {
    pdu.push_back(static_cast<std::uint8_t>(value >> 8));
    pdu.push_back(static_cast<std::uint8_t>(value & 0xFF));
  }
  return sealed(Talk::kUnit, pdu);
}

}  // namespace tests::session
