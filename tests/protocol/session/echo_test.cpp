// Adapters that hear what they send. A write's answer equals its request, so without care an empty line
// acknowledges every write.

#include <doctest/doctest.h>

#include "tests/protocol/session/talk.hpp"

using namespace tests::session;
using namespace protocol::session;
using protocol::pdu::read_input_registers;
using protocol::pdu::write_single_register;

namespace {

// Opens a link that echoes; a unit answers.
void open(Talk& talk) {
  talk.client.open(talk.now);
  const Bytes probe = talk.sends();
  talk.hears(probe + sealed(Talk::kUnit, {0x03, 2, 0, 0}));
  const Bytes fence = talk.sends();
  talk.hears(fence + fence);
  REQUIRE(talk.ended());
  REQUIRE(talk.client.outcome().ok());
}

}  // namespace

TEST_SUITE("protocol/session/echo") {
  TEST_CASE("an echo is found by the first read and stepped over from then on") {
    Talk talk;
    open(talk);
    CHECK(talk.client.statistics().echo == Echo::kPresent);
    talk.asks(read_input_registers(0x40, 2));
    talk.hears(talk.sends());
    CHECK_FALSE(talk.ended());
    talk.hears(words({1, 2}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word(1) == 2);
    CHECK_FALSE(talk.client.suspect());
  }

  TEST_CASE("an echo is found octet by octet too") {
    Talk talk;
    talk.client.open(talk.now);
    const Bytes probe = talk.sends();
    for (const std::uint8_t octet : probe + sealed(Talk::kUnit, {0x03, 2, 0, 0})) {
      talk.hears({octet}, microseconds(100));
    }
    CHECK(talk.client.statistics().echo == Echo::kPresent);
    const Bytes fence = talk.sends();
    for (const std::uint8_t octet : fence) talk.hears({octet}, microseconds(100));
    CHECK_FALSE(talk.ended());
    for (const std::uint8_t octet : fence) talk.hears({octet}, microseconds(100));
    CHECK(talk.ended());
  }

  TEST_CASE("an echo without a unit is no unit") {
    Talk talk;
    talk.client.open(talk.now);
    for (int i = 0; i < 4; ++i) talk.hears(talk.sends());
    const Outcome& outcome = talk.ends();
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().kind == FailureKind::kEchoOnly);
  }

  TEST_CASE("the echo of a fence or of a write acknowledges nothing") {
    Talk talk;
    open(talk);
    talk.asks(write_single_register(1, 3));
    const Bytes write = talk.sends();
    talk.hears(write);
    CHECK_FALSE(talk.ended());
    // Nobody answers: the fence's echo must not pass for the fence.
    const Bytes fence = talk.sends();
    REQUIRE(fence[1] == 0x08);
    talk.hears(fence);
    CHECK(talk.client.suspect());
    CHECK_FALSE(talk.ends().ok());
  }

  TEST_CASE("a write behind its echo is acknowledged by the unit") {
    Talk talk;
    open(talk);
    talk.asks(write_single_register(1, 3));
    const Bytes write = talk.sends();
    talk.hears(write + write);
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
  }

  TEST_CASE("an echo that is not what was sent is a collision") {
    auto settings = Talk::settings();
    settings.retries_max = 0;
    Talk talk{settings};
    open(talk);
    talk.asks(read_input_registers(0x40, 2));
    Bytes echo = talk.sends();
    echo[3] ^= 0x10U;
    talk.hears(echo + words({1, 2}));
    const Outcome& outcome = talk.ends();
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().kind == FailureKind::kCollision);
  }

  TEST_CASE("a line that begins to echo is tested again") {
    Talk talk;
    talk.open().asks(read_input_registers(0x0040, 2));
    talk.hears(talk.sends());
    CHECK(talk.client.statistics().echo == Echo::kUnknown);
    const Bytes probe = talk.sends();
    REQUIRE(probe[1] == 0x03);
    talk.hears(probe + sealed(Talk::kUnit, {0x03, 2, 0, 0}));
    CHECK(talk.client.statistics().echo == Echo::kPresent);
  }
}
