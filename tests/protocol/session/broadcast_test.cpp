// Writes to all units, and the counters of one: what is asked without a register.

#include <doctest/doctest.h>

#include "protocol/pdu/request.hpp"
#include "tests/protocol/session/talk.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace tests::session;
using protocol::pdu::write_single_register;
using tests::vectors::modbus_frame;

TEST_SUITE("protocol/session/broadcast") {
  TEST_CASE(
      "a broadcast goes to address 0, waits for the turnaround and nothing else, and is never repeated") {
    Talk talk;
    talk.open();
    talk.client.broadcast(write_single_register(1, 3), talk.now);
    CHECK(talk.sends() == modbus_frame("bcast-fc06", true));
    const Instant sent = talk.now;
    const auto transactions = talk.client.statistics().transactions;
    REQUIRE(talk.ends().ok());
    CHECK(talk.client.outcome().value().octets().empty());
    // 8 characters of 10 bits at 115200 Bd are 695 us.
    CHECK(talk.now - sent == milliseconds(100) + microseconds(695));
    CHECK(talk.client.statistics().transactions == transactions);
    CHECK_FALSE(talk.client.suspect());
    talk.asks(protocol::pdu::read_input_registers(8, 1));
    CHECK(talk.sends()[1] == 0x04);
  }

  TEST_CASE("its echo is no trouble, anything else that comes is") {
    for (const bool echo : {true, false}) {
      Talk talk;
      talk.open();
      talk.client.broadcast(write_single_register(1, 3), talk.now);
      Bytes sent = talk.sends();
      if (!echo) sent[0] = 0x22;
      talk.hears(sent);
      CHECK(talk.ends().ok());
      CHECK(talk.client.suspect() != echo);
    }
  }

  TEST_CASE("a counter is read by its sub-function, and not twice in a row without a read between") {
    Talk talk;
    talk.open();
    const auto asked = protocol::pdu::diagnose(0x0B);
    talk.asks(asked);
    CHECK(talk.sends() == modbus_frame("fc08-0b", true));
    talk.hears(modbus_frame("fc08-0b", false));
    REQUIRE(talk.ended());
    CHECK(protocol::base::read_be16(talk.client.outcome().value().octets(), 3) == 0x0121);
    CHECK(talk.client.needs_spacer(asked));
    CHECK_FALSE(talk.client.needs_spacer(protocol::pdu::diagnose(0x0C)));
    // The answer of another counter is no answer.
    talk.asks(protocol::pdu::diagnose(0x0C));
    (void)talk.sends();
    talk.hears(modbus_frame("fc08-0b", false));
    CHECK_FALSE(talk.ended());
    talk.hears(modbus_frame("fc08-0c", false));
    CHECK(talk.sends()[1] == 0x08);  // a fence, for the other one was trouble
  }
}
