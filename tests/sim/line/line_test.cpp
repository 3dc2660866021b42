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
}
