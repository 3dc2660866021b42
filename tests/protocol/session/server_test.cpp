#include "protocol/session/server.hpp"

#include <doctest/doctest.h>

#include "tests/protocol/session/bench.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace tests::session;
using namespace protocol::session;
using tests::vectors::modbus_frame;

TEST_SUITE("protocol/session/server") {
  TEST_CASE("a broadcast write is done by all and answered by none; a broadcast read is nothing") {
    Bench bench;
    CHECK(bench.exchange(modbus_frame("bcast-fc06", true)).empty());
    CHECK(bench.device.holding[1] == 3);
    CHECK(bench.exchange(modbus_frame("bcast-fc10", true)).empty());
    CHECK(bench.device.holding[2] == 0x0102);
    const int calls = bench.device.calls;
    CHECK(bench.exchange(sealed(0, {0x03, 0, 0, 0, 1})).empty());
    CHECK(bench.device.calls == calls);
  }

  TEST_CASE("a pause inside a frame condemns it where the port can tell, and only there") {
    for (const CharacterGap gap : {CharacterGap::kIgnored, CharacterGap::kEnforced}) {
      // 9600 Bd, 11 bits: a character takes 1146 us, t1.5 1719 us, t3.5 4011 us.
      for (const std::int64_t between_us : {1146, 2860, 2870, 4000}) {
        CAPTURE(between_us);
        Bench bench;
        bench.server = Server{{Talk::kUnit, {9600, 11}, {}, gap}, bench.device};
        for (const std::uint8_t octet : kRead) bench.hears({octet}, microseconds(between_us));
        const bool in_time = gap == CharacterGap::kIgnored || between_us <= 1146 + 1719;
        CHECK(bench.answers().empty() != in_time);
        CHECK(bench.server.counters()[Counter::kCommunicationErrors] == (in_time ? 0 : 1));
        bench.now += milliseconds(10);
        for (const std::uint8_t octet : kRead) bench.hears({octet}, microseconds(1146));
        CHECK(bench.answers().size() == 11);
      }
    }
  }

  TEST_CASE("an answer waits for t3.5 of silence behind the request") {
    Bench bench;
    bench.hears(kRead);
    const Instant heard = bench.now;
    CHECK_FALSE(bench.answers().empty());
    CHECK(bench.now - heard == microseconds(1750));
  }

  TEST_CASE("a request counts octet by octet") {
    Bench bench;
    for (const std::uint8_t octet : kRead) bench.hears({octet});
    CHECK(bench.answers().size() == 11);
  }

  TEST_CASE("a request cut by a silence is no request, and the next one is") {
    for (std::size_t cut = 1; cut < kRead.size(); ++cut) {
      CAPTURE(cut);
      Bench bench;
      bench.hears({kRead.begin(), kRead.begin() + static_cast<std::ptrdiff_t>(cut)});
      bench.hears({kRead.begin() + static_cast<std::ptrdiff_t>(cut), kRead.end()}, milliseconds(3));
      CHECK(bench.answers().empty());
      CHECK(bench.exchange(kRead).size() == 11);
    }
  }

  TEST_CASE("a request with a turned bit is not answered and does nothing, and the next one is") {
    const Bytes write = sealed(Talk::kUnit, {0x06, 0, 1, 0, 3});
    for (std::size_t bit = 0; bit < write.size() * 8; ++bit) {
      CAPTURE(bit);
      Bench bench;
      Bytes octets = write;
      octets[bit / 8] = static_cast<std::uint8_t>(octets[bit / 8] ^ (1U << (bit % 8)));
      CHECK(bench.exchange(octets).empty());
      CHECK(bench.device.calls == 0);
      CHECK(bench.exchange(write) == write);
    }
  }

  TEST_CASE("others' requests and answers are stepped over with no silence between them") {
    Bench bench;
    const Bytes answer = sealed(0x22, Bytes{0x03, 6, 0x02, 0x2B, 0, 0, 0, 0x64});
    bench.hears(sealed(0x22, {0x03, 0, 0x6B, 0, 3}) + answer + sealed(0x22, {0x83, 2}) + kRead);
    CHECK(bench.answers().size() == 11);
    CHECK(bench.server.counters()[Counter::kBusMessages] == 4);
    CHECK(bench.server.counters()[Counter::kServerMessages] == 1);
  }

  TEST_CASE("a request inside another unit's frame is not executed") {
    const Bytes write = sealed(Talk::kUnit, {0x06, 0, 1, 0, 3});
    for (const bool octet_by_octet : {false, true}) {
      Bench bench;
      Bytes pdu{0x03, static_cast<std::uint8_t>(write.size() + 2)};
      Bytes frame = sealed(0x22, pdu + write + Bytes{0, 0});
      for (const bool damaged : {false, true}) {
        if (damaged) frame.back() ^= 1U;
        if (octet_by_octet) {
          for (const std::uint8_t octet : frame) bench.hears({octet});
        } else {
          bench.hears(frame, milliseconds(5));
        }
        CHECK(bench.answers().empty());
        bench.now += milliseconds(5);
      }
      CHECK(bench.device.writes == 0);
      CHECK(bench.exchange(write) == write);
    }
  }

  TEST_CASE("noise makes it deaf until the next silence, not longer") {
    Bench bench;
    bench.hears(Bytes{0xFF, 0x7A, 0x00} + kRead);
    CHECK(bench.answers().empty());
    CHECK(bench.exchange(kRead).size() == 11);
    bench.now += milliseconds(5);
    for (const std::uint8_t octet : Bytes{0xFF, 0x7A} + kRead) bench.hears({octet});
    CHECK(bench.answers().empty());
    CHECK(bench.exchange(kRead).size() == 11);
    bench.hears(Bytes(2000, 0x55), milliseconds(5));
    CHECK(bench.answers().empty());
    CHECK(bench.exchange(kRead).size() == 11);
  }

  TEST_CASE("a parity error in a request leaves it unanswered") {
    Bench bench;
    bench.hears({kRead.begin(), kRead.begin() + 3});
    bench.server.damaged(bench.now);
    bench.hears({kRead.begin() + 3, kRead.end()});
    CHECK(bench.answers().empty());
    CHECK(bench.exchange(kRead).size() == 11);
  }

  TEST_CASE(
      "what comes behind a request before its answer is thrown away, and the answer goes all the same") {
    Bench bench;
    bench.hears(kRead + sealed(Talk::kUnit, {0x06, 0, 1, 0, 3}));
    bench.hears({0xFF, 0x00});
    CHECK(bench.answers()[1] == 0x03);
    CHECK(bench.answers().empty());
    CHECK(bench.device.writes == 0);
    CHECK(bench.exchange(kRead).size() == 11);
  }

  TEST_CASE("an answer nobody fetched is forgotten when the next frame begins") {
    Bench bench;
    bench.hears(kRead);
    bench.hears(sealed(Talk::kUnit, {0x06, 0, 1, 0, 3}), milliseconds(5));
    CHECK(bench.answers()[1] == 0x06);
    CHECK(bench.answers().empty());
  }
}
