#include "sim/line/line.hpp"

#include <doctest/doctest.h>

using protocol::base::Instant;
using protocol::base::milliseconds;
using sim::line::Line;
using sim::line::Noise;

namespace {

using Octets = std::vector<std::uint8_t>;
const Octets kFrame{0x01, 0x04, 0x02, 0x00, 0x0A, 0x39, 0x37};
constexpr Instant kStart{};

}  // namespace

TEST_SUITE("sim/line/line") {
  TEST_CASE("a good line hands on what it gets, both ways, at once") {
    Line line{{}, 1};
    line.from_host(kFrame, kStart);
    CHECK(line.at_host(kStart).empty());
    CHECK(line.at_unit(kStart) == kFrame);
    CHECK(line.at_unit(kStart).empty());
    line.from_unit(kFrame, kStart);
    CHECK(line.at_host(kStart) == kFrame);
    CHECK_FALSE(line.next());
  }

  TEST_CASE("dropped answers never come, and are counted") {
    Line line{Noise{.drop = 1}, 1};
    for (int i = 0; i < 50; ++i) line.from_unit(kFrame, kStart);
    CHECK(line.at_host(kStart + milliseconds(10'000)).empty());
    CHECK(line.hits().answers_dropped == 50);
    line.from_host(kFrame, kStart);
    CHECK(line.at_unit(kStart) == kFrame);  // requests are not answers
  }

  TEST_CASE("doubled answers come twice, and are counted") {
    Line line{Noise{.doubled = 1}, 1};
    line.from_unit(kFrame, kStart);
    Octets twice = kFrame;
    twice.insert(twice.end(), kFrame.begin(), kFrame.end());
    CHECK(line.at_host(kStart) == twice);
    CHECK(line.hits().answers_doubled == 1);
  }

  TEST_CASE("a delayed answer comes no microsecond early") {
    Line line{Noise{.delay = milliseconds(20)}, 1};
    line.from_unit(kFrame, kStart);
    CHECK(line.next() == kStart + milliseconds(20));
    CHECK(line.at_host(kStart + milliseconds(20) - protocol::base::microseconds(1)).empty());
    CHECK(line.at_host(kStart + milliseconds(20)) == kFrame);
    CHECK(line.hits().answers_delayed == 1);
  }

  TEST_CASE("with echo the host hears itself, before any answer") {
    Line line{Noise{.echo = true}, 1};
    line.from_host(kFrame, kStart);
    CHECK(line.at_host(kStart) == kFrame);
    CHECK(line.at_unit(kStart) == kFrame);
    CHECK(line.hits().octets_echoed == kFrame.size());
  }

  TEST_CASE(
      "bit errors flip as many bits as they count, at their rate, and the same ones for the same seed") {
    const Octets zeros(1'000, 0);
    Line line{Noise{.bit_errors = 0.01}, 42};
    Line twin{Noise{.bit_errors = 0.01}, 42};
    line.from_unit(zeros, kStart);
    twin.from_unit(zeros, kStart);
    const Octets got = line.at_host(kStart);
    CHECK(got == twin.at_host(kStart));
    std::uint64_t flipped = 0;
    for (const std::uint8_t octet : got) flipped += static_cast<std::uint64_t>(__builtin_popcount(octet));
    CHECK(flipped == line.hits().bits_flipped);
    // 8000 bits at 1 %: 80, and 9 is one sigma.
    CHECK(flipped > 35);
    CHECK(flipped < 125);
  }

  TEST_CASE("a line that was closed has forgotten what was under way") {
    Line line{Noise{.delay = milliseconds(20)}, 1};
    line.from_unit(kFrame, kStart);
    line.clear();
    CHECK_FALSE(line.next());
    CHECK(line.at_host(kStart + milliseconds(100)).empty());
  }

  TEST_CASE("an adapter hands on what it holds a latency after its first octet, and no octet is lost") {
    // 100 octets at 9600 Bd, 1.146 ms each: in 16 ms come 13.96 more, so 14 a piece.
    constexpr sim::line::CharacterFormat kFormat{9'600, sim::line::Parity::kEven, 1};
    Line line{Noise{.latency = milliseconds(16)}, 1, {kFormat, kFormat, true}};
    const Octets sent(100, 0x5A);
    line.from_unit(sent, kStart);
    Octets got;
    std::uint64_t pieces = 0;
    while (const auto next = line.next()) {
      const Octets piece = line.at_host(*next);
      REQUIRE_FALSE(piece.empty());
      CHECK(piece.size() <= 14);
      got.insert(got.end(), piece.begin(), piece.end());
      ++pieces;
    }
    CHECK(got == sent);
    CHECK(pieces == 8);
    CHECK(line.hits().pieces_held == pieces);
  }

  TEST_CASE("paced, the last octet of a long transmission is no rounding late") {
    constexpr sim::line::CharacterFormat kFormat{115'200, sim::line::Parity::kEven, 1};
    Line line{{}, 1, {kFormat, kFormat, true}};
    line.from_unit(Octets(10'000, 0x5A), kStart);
    Instant last{};
    while (const auto next = line.next()) {
      last = *next;
      REQUIRE_FALSE(line.at_host(last).empty());
    }
    CHECK((last - kStart).count() == 954'862);  // 10000 x 11 / 115200 s, rounded up once
  }

  TEST_CASE(
      "a single flipped bit is damage to a unit that checks parity, and a wrong octet to one that doesn't") {
    for (const auto parity : {sim::line::Parity::kEven, sim::line::Parity::kNone}) {
      const sim::line::CharacterFormat format{9'600, parity, 1};
      Line line{Noise{.bit_errors = 0.001}, 5, {format, format, true}};
      const Octets sent(10'000, 0x00);
      line.from_host(sent, kStart);
      std::uint64_t damaged = 0;
      std::uint64_t wrong = 0;
      while (const auto arrival = line.take_at_unit(kStart + milliseconds(100'000))) {
        if (arrival->damaged) ++damaged;
        for (const std::uint8_t octet : arrival->octets) {
          if (!arrival->damaged && octet != 0) ++wrong;
        }
      }
      CHECK(damaged == line.hits().octets_damaged);
      // 10000 octets of 8 or 9 bits at 0.1 %: 80 or 90 hits, most of them alone.
      CHECK(line.hits().bits_flipped > 50);
      if (parity == sim::line::Parity::kNone) {
        CHECK(damaged == 0);
        CHECK(wrong > 50);
      } else {
        CHECK(damaged > 50);
        CHECK(wrong < 5);
      }
    }
  }
}
