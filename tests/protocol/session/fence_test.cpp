// How a link to a unit without 08 is proven clear after trouble, and what is said when it can't be.

#include <doctest/doctest.h>

#include "protocol/pdu/request.hpp"
#include "tests/protocol/session/talk.hpp"

using namespace tests::session;
using protocol::pdu::ExceptionCode;
using protocol::pdu::read_input_registers;
using protocol::session::FailureKind;

namespace {

const Bytes kNo08 = sealed(Talk::kUnit, {0x88, 0x01});

ClientSettings with_reads(std::uint16_t registers) {
  ClientSettings settings = Talk::settings();
  settings.probe_registers_max = registers;
  settings.retries_max = 0;
  return settings;
}

ClientSettings with_silence(Duration answer_time_max) {
  ClientSettings settings = Talk::settings();
  settings.answer_time_max = answer_time_max;
  settings.has_diagnostics = false;
  settings.retries_max = 0;
  return settings;
}

// The answer to a read of holding registers, all of them 0.
Bytes zeros(std::uint8_t count) {
  Bytes pdu{0x03, static_cast<std::uint8_t>(count * 2)};
  pdu.resize(2 + std::size_t{count} * 2);
  return sealed(Talk::kUnit, pdu);
}

// Expects a read of `count` holding registers and answers it.
void reads(Talk& talk, std::uint8_t count) {
  const Bytes sent = talk.sends();
  REQUIRE(sent[1] == 0x03);
  REQUIRE(sent[5] == count);
  talk.hears(zeros(count));
}

// 08 is refused twice, each time with a word of its own.
void refuses_08(Talk& talk) {
  Bytes before;
  for (int i = 0; i < 2; ++i) {
    const Bytes sent = talk.sends();
    REQUIRE(sent[1] == 0x08);
    REQUIRE(sent != before);
    before = sent;
    talk.hears(kNo08);
  }
}

// Opens a link on which 08 is refused and reads of 10 and 9 registers take its place.
void open_by_reads(Talk& talk) {
  talk.client.open(talk.now);
  talk.probe();
  refuses_08(talk);
  reads(talk, 10);
  reads(talk, 9);
  REQUIRE(talk.ended());
  REQUIRE(talk.client.outcome().ok());
}

void falls_silent(Talk& talk) {
  talk.asks(read_input_registers(0x10, 2));
  REQUIRE(talk.sends()[1] == 0x04);
  REQUIRE(talk.ends().error().kind == FailureKind::kSilence);
  REQUIRE(talk.client.suspect());
}

}  // namespace

TEST_SUITE("protocol/session/fence") {
  TEST_CASE("where 08 is refused two reads of lengths not used before take its place") {
    Talk talk{with_reads(10)};
    open_by_reads(talk);
    CHECK_FALSE(talk.client.suspect());
    falls_silent(talk);
    talk.asks(read_input_registers(0x20, 2));
    reads(talk, 10);  // a fence has passed, so any length is new again; 08 is not tried any more
    reads(talk, 9);
    CHECK(talk.sends()[1] == 0x04);
    talk.hears(words({7, 8}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word(0) == 7);
    CHECK_FALSE(talk.client.line_gate_broken());
  }

  TEST_CASE("one refusal of 08 is not believed: damage may have made it of another") {
    ClientSettings settings = with_reads(10);
    settings.retries_max = 2;
    Talk talk{settings};
    talk.client.open(talk.now);
    talk.probe();
    (void)talk.sends();
    talk.hears(kNo08);
    const Bytes again = talk.sends();
    REQUIRE(again[1] == 0x08);
    talk.hears(again);
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().ok());
    // Nor is one that comes in a later trouble.
    talk.hears({0xFF});
    talk.asks(read_input_registers(0x20, 2));
    REQUIRE(talk.sends()[1] == 0x08);
    talk.hears(kNo08);
    const Bytes third = talk.sends();
    REQUIRE(third[1] == 0x08);
    talk.hears(third);
    CHECK(talk.sends()[1] == 0x04);
    CHECK(talk.client.statistics().fences_missing == 0);
  }

  TEST_CASE("those reads may be of input registers, for a unit with no others to spare") {
    ClientSettings settings = with_reads(10);
    settings.has_diagnostics = false;
    settings.probe_table = protocol::session::Table::kInput;
    settings.probe_address = 0x0300;
    Talk talk{settings};
    talk.client.open(talk.now);
    const auto input_read = [&](std::uint8_t count) {
      const Bytes sent = talk.sends();
      REQUIRE(sent.size() == 8);
      CHECK(sent[1] == 0x04);
      CHECK(sent[2] == 0x03);
      CHECK(sent[3] == 0x00);
      CHECK(sent[5] == count);
      Bytes pdu{0x04, static_cast<std::uint8_t>(count * 2)};
      pdu.resize(2 + std::size_t{count} * 2);
      talk.hears(sealed(Talk::kUnit, pdu));
    };
    input_read(1);  // the probe
    input_read(10);
    input_read(9);
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().ok());
    // A length that was read since is not used for a fence: late, it would fit.
    talk.asks(read_input_registers(0x10, 10));
    CHECK(talk.sends()[5] == 10);
    talk.hears(words({0, 1, 2, 3, 4, 5, 6, 7, 8, 9}));
    REQUIRE(talk.ended());
    talk.hears({0xFF});
    talk.asks(read_input_registers(0x20, 2));
    input_read(9);
    input_read(8);
    CHECK(talk.sends()[5] == 2);
    talk.hears(words({7, 8}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word(0) == 7);
  }

  TEST_CASE("late answers that come ahead of the fence's reads are taken for nothing") {
    Talk talk{with_reads(10)};
    open_by_reads(talk);
    falls_silent(talk);
    talk.asks(read_input_registers(0x20, 2));
    CHECK(talk.sends()[5] == 10);
    talk.hears(words({0xBAD, 0xBAD}));  // to the read that was given up
    talk.hears(zeros(10));
    reads(talk, 9);
    CHECK(talk.sends()[1] == 0x04);
    talk.hears(words({7, 8}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word(0) == 7);
  }

  TEST_CASE("a fence read that fails is followed by one of another length") {
    ClientSettings settings = with_reads(10);
    settings.retries_max = 2;
    Talk talk{settings};
    open_by_reads(talk);
    talk.hears({0xFF});
    talk.asks(read_input_registers(0x20, 2));
    CHECK(talk.sends()[5] == 10);  // unanswered
    reads(talk, 9);
    talk.hears(zeros(10), microseconds(50));  // the late answer to the first, behind the one just read: stray
    reads(talk, 8);
    reads(talk, 7);
    CHECK(talk.sends()[1] == 0x04);
  }

  TEST_CASE("where reads are refused too, a silence of the declared worst answer time does") {
    ClientSettings settings = with_reads(10);
    settings.answer_time_max = milliseconds(500);
    settings.retries_max = 3;
    Talk talk{settings};
    talk.client.open(talk.now);
    talk.probe();
    refuses_08(talk);
    for (int i = 0; i < 2; ++i) {
      CHECK(talk.sends()[1] == 0x03);
      talk.hears(sealed(Talk::kUnit, {0x83, 0x02}));
    }
    const Instant heard = talk.now;
    CHECK(talk.ends().ok());
    CHECK(talk.now - heard == milliseconds(500) + settings.adapter_latency_max);
  }

  TEST_CASE("an octet in that silence begins it anew") {
    Talk talk{with_silence(milliseconds(300))};
    talk.client.open(talk.now);
    talk.probe();
    (void)talk.client.step(talk.now);
    talk.hears({0x55}, milliseconds(200));
    const Instant heard = talk.now;
    CHECK(talk.ends().ok());
    CHECK(talk.now - heard == milliseconds(316));
    CHECK_FALSE(talk.client.suspect());
  }

  TEST_CASE("a unit of which nothing is known gives values, and no verdict once there was trouble") {
    ClientSettings settings = Talk::settings();
    settings.retries_max = 0;
    Talk talk{settings};
    talk.client.open(talk.now);
    talk.probe();
    refuses_08(talk);
    CHECK(talk.ends().ok());
    CHECK(talk.client.statistics().fences_missing == 0);
    CHECK_FALSE(talk.client.line_gate_broken());
    falls_silent(talk);
    talk.asks(read_input_registers(0x20, 2));
    CHECK(talk.sends()[1] == 0x04);
    talk.hears(words({7, 8}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().ok());
    CHECK(talk.client.statistics().fences_missing == 1);
    CHECK(talk.client.line_gate_broken());
  }

  TEST_CASE("08 refused for another reason than that it is missing is a failure") {
    ClientSettings settings = Talk::settings();
    settings.retries_max = 0;
    Talk talk{settings};
    talk.client.open(talk.now);
    talk.probe();
    (void)talk.sends();
    talk.hears(sealed(Talk::kUnit, {0x88, 0x06}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().error().kind == FailureKind::kFenceRefused);
    CHECK(talk.client.outcome().error().exception == ExceptionCode::kServerDeviceBusy);
  }
}
