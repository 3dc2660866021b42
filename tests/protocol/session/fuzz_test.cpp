// Both ends against octets that nobody meant: one property each, over seeded chance.

#include <cstdio>
#include <cstdlib>
#include <random>

#include <doctest/doctest.h>

#include "tests/protocol/session/example_device.hpp"
#include "tests/protocol/session/line.hpp"
#include "tests/protocol/session/talk.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace tests::session;
using protocol::session::Server;

namespace {

std::uint64_t seed() {
  static const std::uint64_t value = [] {
    const char* given = std::getenv("STRAPLINE_SEED");
    const std::uint64_t drawn = given != nullptr ? std::strtoull(given, nullptr, 0) : std::random_device{}();
    std::printf("fuzz: STRAPLINE_SEED=%llu\n", static_cast<unsigned long long>(drawn));
    return drawn;
  }();
  return value;
}

// One of the standard's frames, cut, lengthened, turned, joined with another, or plain chance.
Bytes mutant(std::mt19937_64& random, const std::vector<tests::vectors::ModbusFrame>& frames) {
  Bytes octets = frames[random() % frames.size()].octets;
  switch (random() % 6) {
    case 0: octets.resize(random() % (octets.size() + 1)); break;
    case 1: octets.push_back(static_cast<std::uint8_t>(random())); break;
    case 2: octets[random() % octets.size()] = static_cast<std::uint8_t>(random()); break;
    case 3: octets = octets + frames[random() % frames.size()].octets; break;
    case 4:
      octets.resize(random() % 600);
      for (auto& octet : octets) octet = static_cast<std::uint8_t>(random());
      break;
    default: break;
  }
  return octets;
}

// A request with a right CRC whose PDU is chance: only such reach what stands behind the framing.
Bytes sealed_chance(std::mt19937_64& random) {
  constexpr std::array<std::uint8_t, 8> kFunctions{0x03, 0x04, 0x05, 0x06, 0x08, 0x10, 0x2B, 0x63};
  Bytes pdu(1 + random() % protocol::pdu::kPduSizeMax);
  for (auto& octet : pdu) octet = static_cast<std::uint8_t>(random() % 3 == 0 ? random() : random() % 4);
  pdu[0] = kFunctions[random() % kFunctions.size()];
  if (pdu.size() > 1 && pdu[0] == 0x2B) pdu[1] = 0x0E;
  return sealed(Talk::kUnit, pdu);
}

}  // namespace

TEST_SUITE("protocol/session/fuzz") {
  TEST_CASE("whatever a server hears, it says whole frames of its own and answers the next good request") {
    CAPTURE(seed());
    std::mt19937_64 random{seed()};
    const auto frames = tests::vectors::modbus_frames();
    REQUIRE(frames.size() == 109);
    const Bytes good = sealed(Talk::kUnit, {0x03, 0, 0, 0, 1});
    const Bytes restart = sealed(Talk::kUnit, {0x08, 0, 1, 0, 0});
    int silenced = 0;
    ExampleDevice device;
    device.objects[0] = "alder";
    device.objects[0x80] = std::string(240, 'x');
    Server server{{Talk::kUnit, {115200, 10}, {}}, device};
    Instant now{};
    const auto settle = [&] {
      int answers = 0;
      for (;;) {
        const Step step = server.step(now);
        if (step.kind == Step::Kind::kIdle) return answers;
        if (step.kind == Step::Kind::kWait) {
          now = step.until;
          continue;
        }
        ++answers;
        if (step.octets[0] != Talk::kUnit || !protocol::rtu::crc_holds(step.octets))
          FAIL("no frame of its own");
      }
    };
    for (int run = 0; run < 100'000; ++run) {
      const Bytes octets = run % 3 == 0 ? sealed_chance(random) : mutant(random, frames);
      for (std::size_t at = 0; at < octets.size();) {
        const std::size_t piece = std::min<std::size_t>(octets.size() - at, 1 + random() % 300);
        now += microseconds(static_cast<std::int64_t>(random() % 2000));
        server.received(Octets{octets}.subspan(at, piece), now);
        if (random() % 4 == 0) (void)settle();
        at += piece;
      }
      (void)settle();
      now += milliseconds(2);
      server.received(good, now);
      if (settle() == 1) continue;
      // It may have heard 08/04, which only 08/01 ends.
      now += milliseconds(2);
      server.received(restart, now);
      if (settle() != 0) FAIL("run " << run << ": it was not in listen only mode, yet said nothing");
      ++silenced;
      now += milliseconds(2);
      server.received(good, now);
      if (settle() != 1) FAIL("run " << run << ": the good request behind it was not answered");
    }
    CHECK(silenced < 10'000);
  }

  TEST_CASE(
      "whatever a client hears, it ends, in bounded time, and the next good link gives the right words") {
    CAPTURE(seed());
    std::mt19937_64 random{seed()};
    const auto frames = tests::vectors::modbus_frames();
    Client<> client{Talk::settings()};
    Line line{{}, seed(), Talk::kUnit};
    Instant now{};
    for (int run = 0; run < 20'000; ++run) {
      const std::uint16_t count = static_cast<std::uint16_t>(1 + random() % 125);
      switch (random() % 4) {
        case 0: client.open(now); break;
        case 1: client.request(protocol::pdu::write_single_register(1, 2), now); break;
        case 2:
          client.request(protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kExtended, 0),
                         now);
          break;
        default: client.request(protocol::pdu::read_holding_registers(0x6B, count), now); break;
      }
      const Instant begun = now;
      for (;;) {
        const Step step = client.step(now);
        if (step.kind == Step::Kind::kFinished) break;
        if (step.kind == Step::Kind::kSend) {
          client.sent(now);
          continue;
        }
        const auto wait = microseconds(static_cast<std::int64_t>(random() % 100'000));
        if (random() % 3 != 0 && now + wait < step.until) {
          now += wait;
          client.received(mutant(random, frames), now);
          if (random() % 50 == 0) client.damaged(now);
        } else {
          now = step.until;
        }
        if (now - begun > milliseconds(20'000)) FAIL("run " << run << " does not end");
      }
      idle(client, line, now, milliseconds(5));
      const auto address = static_cast<std::uint16_t>(random() % 0x8000);
      client.open(now);
      drive(client, line, now);
      client.request(protocol::pdu::read_input_registers(address, count), now);
      drive(client, line, now);
      if (!client.outcome().ok()) FAIL("run " << run << ": the good link behind it gave nothing");
      for (std::uint16_t i = 0; i < count; ++i) {
        if (client.outcome().value().word(i) != address + i) FAIL("run " << run << ": a wrong word");
      }
    }
  }
}
