// What a client makes of octets: pieces, prefixes, cuts, turned bits, frames inside frames.

#include <random>

#include <doctest/doctest.h>

#include "tests/protocol/session/talk.hpp"

using namespace tests::session;
using namespace protocol::session;
using protocol::pdu::read_input_registers;

namespace {

const Bytes kAnswer = words({0x1234, 0x5678, 0x9ABC});

// Asks once, without retries, hears `octets` in pieces, and waits for the end.
Outcome hearing(const Bytes& octets, std::size_t piece, Duration pause = microseconds(90)) {
  auto settings = Talk::settings();
  settings.retries_max = 0;
  Talk talk{settings};
  talk.open().asks(read_input_registers(0x40, 3));
  (void)talk.sends();
  for (std::size_t at = 0; at < octets.size(); at += piece) {
    const auto begin = octets.begin() + static_cast<std::ptrdiff_t>(at);
    talk.hears({begin, begin + static_cast<std::ptrdiff_t>(std::min(piece, octets.size() - at))}, pause);
  }
  return talk.ends();
}

bool right(const Outcome& outcome) {
  return outcome.ok() && outcome.value().word_count() == 3 && outcome.value().word(0) == 0x1234 &&
         outcome.value().word(1) == 0x5678 && outcome.value().word(2) == 0x9ABC;
}

}  // namespace

TEST_SUITE("protocol/session/reader") {
  TEST_CASE("an answer counts whole, octet by octet, and in any pieces with pauses between") {
    for (std::size_t piece = 1; piece <= kAnswer.size(); ++piece) {
      CAPTURE(piece);
      CHECK(right(hearing(kAnswer, piece)));
      CHECK(right(hearing(kAnswer, piece, milliseconds(15))));
    }
  }

  TEST_CASE("octets behind an answer leave it standing and the link suspect") {
    for (const std::size_t piece : {std::size_t{1}, std::size_t{64}}) {
      Talk talk;
      talk.open().asks(read_input_registers(0x40, 3));
      (void)talk.sends();
      for (const std::uint8_t octet : kAnswer + Bytes{0, 0, 0}) {
        if (piece == 1) talk.hears({octet}, microseconds(90));
      }
      if (piece > 1) talk.hears(kAnswer + Bytes{0, 0, 0});
      REQUIRE(talk.ended());
      CHECK(right(talk.client.outcome()));
      CHECK(talk.client.suspect());
      CHECK(talk.client.statistics().octets_stray == 3);
    }
  }

  TEST_CASE("every cut answer ends as truncated, the first octet as noise, nothing as silence") {
    for (std::size_t size = 0; size < kAnswer.size(); ++size) {
      CAPTURE(size);
      const Outcome outcome =
          hearing({kAnswer.begin(), kAnswer.begin() + static_cast<std::ptrdiff_t>(size)}, 64);
      REQUIRE_FALSE(outcome.ok());
      const FailureKind kind = size == 0   ? FailureKind::kSilence
                               : size == 1 ? FailureKind::kNoise
                                           : FailureKind::kTruncated;
      CHECK(outcome.error().kind == kind);
    }
  }

  TEST_CASE("no turned bit gives an answer") {
    for (std::size_t bit = 0; bit < kAnswer.size() * 8; ++bit) {
      CAPTURE(bit);
      Bytes octets = kAnswer;
      octets[bit / 8] = static_cast<std::uint8_t>(octets[bit / 8] ^ (1U << (bit % 8)));
      CHECK_FALSE(hearing(octets, 64).ok());
      CHECK_FALSE(hearing(octets, 1).ok());
    }
  }

  TEST_CASE("a wrong CRC is reported with both CRCs") {
    Bytes octets = kAnswer;
    octets[5] ^= 1U;
    const Outcome outcome = hearing(octets, 64);
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().kind == FailureKind::kNoise);
    CHECK(outcome.error().crc_received == protocol::rtu::carried_crc(kAnswer));
    CHECK(outcome.error().crc_expected != outcome.error().crc_received);
  }

  TEST_CASE("up to 16 octets of a floating bus ahead of an answer are stepped over, 17 are noise") {
    for (const std::uint8_t filler : {std::uint8_t{0x00}, std::uint8_t{0xFF}}) {
      for (std::size_t count = 1; count <= 17; ++count) {
        CAPTURE(count);
        const Bytes octets = Bytes(count, filler) + kAnswer;
        CHECK(right(hearing(octets, 64)) == (count <= 16));
        CHECK(right(hearing(octets, 1)) == (count <= 16));
      }
    }
  }

  TEST_CASE("a frame found behind such octets does not count when more follows it") {
    for (const std::size_t piece : {std::size_t{1}, std::size_t{64}}) {
      CHECK_FALSE(hearing(Bytes{0xFF, 0x00} + kAnswer + Bytes{0x55}, piece).ok());
      CHECK_FALSE(
          hearing(Bytes{0xFF, 0x00} + sealed(Talk::kUnit, {0x84, 2}) + Bytes{0x55, 0xAA}, piece).ok());
      CHECK(hearing(Bytes{0xFF} + sealed(Talk::kUnit, {0x84, 2}) + Bytes{0x55}, piece).error().kind ==
            FailureKind::kNoise);
    }
  }

  // Octets that could begin a frame of another unit may cost the attempt, for that frame is waited for.
  TEST_CASE("any 1 to 16 octets ahead of an answer never give a wrong one, and a retry gives the right one") {
    std::mt19937 random{16};
    for (int run = 0; run < 3000; ++run) {
      Bytes prefix(1 + random() % 16);
      for (auto& octet : prefix) octet = static_cast<std::uint8_t>(random());
      CAPTURE(run);
      const Outcome outcome = hearing(prefix + kAnswer, 64);
      CHECK((!outcome.ok() || right(outcome)));
      if (run % 10 != 0) continue;
      Talk talk;
      talk.open().asks(read_input_registers(0x40, 3));
      (void)talk.sends();
      talk.hears(prefix + kAnswer);
      Step step = talk.client.step(talk.now);
      while (step.kind == Step::Kind::kWait) step = talk.client.step(talk.now = step.until);
      if (step.kind == Step::Kind::kSend) {
        talk.client.sent(talk.now);
        REQUIRE(step.octets[1] == 0x08);
        talk.hears({step.octets.begin(), step.octets.end()});
        (void)talk.sends();
        talk.hears(kAnswer);
        REQUIRE(talk.ended());
      }
      CHECK(right(talk.client.outcome()));
    }
  }

  TEST_CASE("a frame inside another unit's frame is not looked for") {
    const Bytes inner = words({0x6666, 0x6666, 0x6666});
    Bytes pdu{0x03, static_cast<std::uint8_t>(inner.size() + 1)};
    pdu = pdu + inner + Bytes{0};
    for (const std::size_t piece : {std::size_t{1}, std::size_t{64}}) {
      CHECK(right(hearing(sealed(0x22, pdu) + kAnswer, piece)));
      CHECK(hearing(sealed(0x22, pdu), piece).error().kind == FailureKind::kForeign);
      Bytes damaged = sealed(0x22, pdu);
      damaged.back() ^= 1U;
      CHECK_FALSE(hearing(damaged, piece).ok());
    }
  }

  TEST_CASE("a refusal inside an answer of ours is not looked for, even when the CRC around it is wrong") {
    const Bytes refusal = sealed(Talk::kUnit, {0x84, 0x02});
    Bytes pdu = Bytes{0x04, 6} + refusal + Bytes{0};
    const Bytes whole = sealed(Talk::kUnit, pdu);
    CHECK(hearing(whole, 1).ok());
    for (std::size_t at = 0; at < whole.size(); ++at) {
      if (at >= 3 && at < 3 + refusal.size()) continue;
      for (int bit = 0; bit < 8; ++bit) {
        CAPTURE(at);
        CAPTURE(bit);
        Bytes damaged = whole;
        damaged[at] = static_cast<std::uint8_t>(damaged[at] ^ (1U << bit));
        for (const std::size_t piece : {std::size_t{1}, std::size_t{64}}) {
          const Outcome outcome = hearing(damaged, piece);
          REQUIRE_FALSE(outcome.ok());
          CHECK(outcome.error().kind != FailureKind::kException);
        }
      }
    }
  }

  TEST_CASE("another unit's answer just ahead of ours is stepped over, and the link is suspect afterwards") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 3));
    (void)talk.sends();
    talk.hears(sealed(0x22, {0x04, 6, 9, 9, 9, 9, 9, 9}));
    talk.hears(kAnswer, milliseconds(1));
    REQUIRE(talk.ended());
    CHECK(right(talk.client.outcome()));
    CHECK(talk.client.suspect());
    CHECK(talk.client.statistics().frames_foreign == 1);
  }

  TEST_CASE("another master's request to another unit is stepped over") {
    CHECK(right(hearing(sealed(0x22, {0x03, 0, 0x6B, 0, 3}) + kAnswer, 64)));
  }

  TEST_CASE("a parity error condemns the answer it falls in") {
    auto settings = Talk::settings();
    settings.retries_max = 0;
    Talk talk{settings};
    talk.open().asks(read_input_registers(0x40, 3));
    (void)talk.sends();
    talk.hears({kAnswer.begin(), kAnswer.begin() + 4});
    talk.client.damaged(talk.now);
    talk.hears({kAnswer.begin() + 4, kAnswer.end()});
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().error().kind == FailureKind::kNoise);
    CHECK(talk.client.statistics().frames_bad == 1);
  }
}
