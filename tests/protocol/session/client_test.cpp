#include "protocol/session/client.hpp"

#include <doctest/doctest.h>

#include "tests/protocol/session/talk.hpp"

using namespace tests::session;
using namespace protocol::session;
using protocol::pdu::ExceptionCode;
using protocol::pdu::read_input_registers;
using protocol::pdu::write_single_register;

TEST_SUITE("protocol/session/client") {
  TEST_CASE("a link opens with a read thrown away and a fence, each behind t3.5 of silence") {
    Talk talk;
    const Instant start = talk.now;
    talk.client.open(start);
    const Bytes probe = talk.sends();
    CHECK(talk.now - start == microseconds(1750));
    CHECK(probe == sealed(Talk::kUnit, {0x03, 0, 0, 0, 1}));
    talk.hears(sealed(Talk::kUnit, {0x03, 2, 0xBE, 0xEF}));
    const Instant heard = talk.now;
    CHECK(talk.client.suspect());
    const Bytes fence = talk.sends();
    CHECK(talk.now - heard == microseconds(1750));
    CHECK(fence[1] == 0x08);
    talk.hears(fence);
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
    CHECK_FALSE(talk.client.suspect());
    CHECK(talk.client.statistics().echo == Echo::kAbsent);
  }

  TEST_CASE("a refused probe is as good as an answered one") {
    Talk talk;
    talk.client.open(talk.now);
    (void)talk.sends();
    talk.hears(sealed(Talk::kUnit, {0x83, 0x02}));
    talk.fence();
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
  }

  TEST_CASE("two links opened with different seeds send different fences") {
    auto settings = Talk::settings();
    Talk one{settings};
    settings.seed = 2;
    Talk two{settings};
    one.client.open(one.now);
    one.probe();
    two.client.open(two.now);
    two.probe();
    CHECK(one.sends() != two.sends());
  }

  TEST_CASE("a read gives the words asked") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 2));
    CHECK(talk.sends() == sealed(Talk::kUnit, {0x04, 0, 0x40, 0, 2}));
    talk.hears(words({5012, 7}));
    REQUIRE(talk.ended());
    REQUIRE(talk.client.outcome().ok());
    CHECK(talk.client.outcome().value().word(0) == 5012);
    CHECK(talk.client.outcome().value().word(1) == 7);
    CHECK(talk.client.statistics().answer_time_last == milliseconds(2));
    CHECK_FALSE(talk.client.busy());
  }

  TEST_CASE("an answer that comes before the port says that the request is out counts") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 1));
    while (talk.client.step(talk.now).kind != Step::Kind::kSend) talk.now += microseconds(1750);
    talk.hears(words({9}));
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
    talk.client.sent(talk.now);
    CHECK_FALSE(talk.client.busy());
  }

  TEST_CASE("a silent unit ends as silence after four attempts, in bounded time") {
    Talk talk;
    const Instant start = talk.now;
    talk.client.open(start);
    const Outcome& outcome = talk.ends();
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().kind == FailureKind::kSilence);
    CHECK(outcome.error().domain() == FailureDomain::kLine);
    CHECK(outcome.error().during == Exchange::kProbe);
    CHECK(outcome.error().failed_attempts == 4);
    CHECK(talk.client.statistics().transactions == 4);
    CHECK(talk.client.statistics().retries == 3);
    CHECK(talk.now - start < milliseconds(1100));
  }

  TEST_CASE("the deadline allows for the octets at 1200 Bd") {
    auto settings = Talk::settings();
    settings.timing = {1200, 11};
    Talk talk{settings};
    talk.open().asks(read_input_registers(0, 125));
    (void)talk.sends();
    Bytes pdu{0x04, 250};
    pdu.resize(252);
    // 2.41 s on the wire and the longest turnaround: still no reason to give up.
    const Step step = talk.client.step(talk.now);
    CHECK(step.kind == Step::Kind::kWait);
    CHECK(step.until >= talk.now + microseconds(2'410'834) + milliseconds(200));
    CHECK(step.until < talk.now + milliseconds(2700));
    talk.hears(sealed(Talk::kUnit, pdu), microseconds(2'410'834) + milliseconds(200));
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
  }

  TEST_CASE("after a timeout the late answer is thrown away, a fence passes, and the read is asked again") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 2));
    const Bytes asked = talk.sends();
    const Bytes fence = talk.sends();
    REQUIRE(fence[1] == 0x08);
    talk.hears(words({1, 2}));
    CHECK_FALSE(talk.ended());
    CHECK(talk.client.suspect());
    talk.hears(fence);
    CHECK(talk.sends() == asked);
    talk.hears(words({3, 4}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word(0) == 3);
    CHECK(talk.client.statistics().timeouts == 1);
  }

  TEST_CASE("an old fence is not this fence") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 2));
    (void)talk.sends();
    const Bytes first = talk.sends();
    const Bytes second = talk.sends();
    REQUIRE(first[1] == 0x08);
    REQUIRE(second[1] == 0x08);
    REQUIRE(first != second);
    talk.hears(first);
    CHECK(talk.client.suspect());
    talk.hears(second);
    CHECK_FALSE(talk.client.suspect());
  }

  TEST_CASE("a second read of one shape is kept from the first by a short read") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 2));
    (void)talk.sends();
    talk.hears(words({1, 2}));
    REQUIRE(talk.ended());
    CHECK(talk.client.needs_spacer(read_input_registers(0x80, 2)));
    CHECK_FALSE(talk.client.needs_spacer(read_input_registers(0x80, 3)));
    CHECK_FALSE(talk.client.needs_spacer(protocol::pdu::read_holding_registers(0x80, 2)));
    CHECK_FALSE(talk.client.needs_spacer(write_single_register(0x80, 2)));
    talk.asks(read_input_registers(0x80, 2));
    CHECK(talk.sends() == sealed(Talk::kUnit, {0x04, 0, 0x80, 0, 1}));
    talk.hears(words({8}));
    CHECK(talk.sends() == sealed(Talk::kUnit, {0x04, 0, 0x80, 0, 2}));
    talk.hears(words({8, 9}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().value().word_count() == 2);
    CHECK(talk.client.statistics().spacers == 1);
  }

  TEST_CASE("the answer before said twice is noticed by its shape, and the read is asked again") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 2));
    (void)talk.sends();
    talk.hears(words({1, 2}));
    REQUIRE(talk.ended());
    talk.asks(read_input_registers(0x50, 3));
    (void)talk.sends();
    talk.hears(words({1, 2}) + words({3, 4, 5}));
    CHECK_FALSE(talk.ended());
    talk.fence();
    (void)talk.sends();
    talk.hears(words({3, 4, 5}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().ok());
    CHECK(talk.client.statistics().frames_stale == 1);
  }

  TEST_CASE("a refusal is the board's fault and costs one request") {
    Talk talk;
    talk.open().asks(read_input_registers(0x700, 4));
    (void)talk.sends();
    const auto before = talk.client.statistics().transactions;
    talk.hears(sealed(Talk::kUnit, {0x84, 0x02}));
    REQUIRE(talk.ended());
    REQUIRE_FALSE(talk.client.outcome().ok());
    CHECK(talk.client.outcome().error().kind == FailureKind::kException);
    CHECK(talk.client.outcome().error().exception == ExceptionCode::kIllegalDataAddress);
    CHECK(talk.client.outcome().error().domain() == FailureDomain::kBoard);
    CHECK(talk.client.statistics().transactions == before);
    CHECK_FALSE(talk.client.suspect());
  }

  TEST_CASE("a refusal that repeats the one before is believed only behind a fence") {
    Talk talk;
    talk.open().asks(read_input_registers(0x700, 4));
    (void)talk.sends();
    talk.hears(sealed(Talk::kUnit, {0x84, 0x02}));
    REQUIRE(talk.ended());
    // The old refusal once more, though this group is there.
    talk.asks(read_input_registers(0x40, 2));
    (void)talk.sends();
    talk.hears(sealed(Talk::kUnit, {0x84, 0x02}));
    CHECK_FALSE(talk.ended());
    talk.fence();
    (void)talk.sends();
    talk.hears(words({1, 2}));
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().ok());
    // A group that is really absent, twice.
    for (int i = 0; i < 2; ++i) {
      talk.asks(read_input_registers(0x700, static_cast<std::uint16_t>(4 + i)));
      (void)talk.sends();
      talk.hears(sealed(Talk::kUnit, {0x84, 0x02}));
      if (i == 1) {
        talk.fence();
        (void)talk.sends();
        talk.hears(sealed(Talk::kUnit, {0x84, 0x02}));
      }
      REQUIRE(talk.ended());
      CHECK(talk.client.outcome().error().kind == FailureKind::kException);
    }
  }

  TEST_CASE("octets while nothing was asked make the link suspect") {
    Talk talk;
    talk.open().hears({0x00});
    CHECK(talk.client.suspect());
    talk.asks(read_input_registers(0x40, 1));
    talk.fence();
    CHECK(talk.sends()[1] == 0x04);
    CHECK(talk.client.statistics().octets_stray == 1);
  }

  TEST_CASE("octets in the silence before a request make it wait for a fence") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 1));
    (void)talk.client.step(talk.now);
    talk.hears({0xFF}, microseconds(100));
    CHECK(talk.sends()[1] == 0x08);
  }

  TEST_CASE("a write is sent once when it must not be repeated") {
    Talk talk;
    talk.open();
    const auto before = talk.client.statistics().transactions;
    talk.client.request(write_single_register(1, 3), talk.now, Retry::kNever);
    CHECK(talk.ends().error().kind == FailureKind::kSilence);
    CHECK(talk.client.statistics().transactions == before + 1);
    CHECK(talk.client.suspect());
  }

  TEST_CASE("a write is acknowledged only with its own address and value") {
    Talk talk;
    talk.open().asks(write_single_register(1, 3));
    (void)talk.sends();
    talk.hears(sealed(Talk::kUnit, {0x06, 0, 1, 0, 4}));
    CHECK_FALSE(talk.ended());
    talk.hears(sealed(Talk::kUnit, {0x06, 0, 1, 0, 3}));
    CHECK_FALSE(talk.ended());
    talk.fence();
    CHECK(talk.sends() == sealed(Talk::kUnit, {0x06, 0, 1, 0, 3}));
    talk.hears(sealed(Talk::kUnit, {0x06, 0, 1, 0, 3}));
    CHECK(talk.ended());
    CHECK(talk.client.outcome().ok());
  }

  TEST_CASE("cancelling ends at once and leaves the link suspect") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 1));
    (void)talk.sends();
    talk.client.cancel(talk.now);
    REQUIRE(talk.ended());
    CHECK(talk.client.outcome().error().kind == FailureKind::kCancelled);
    CHECK(talk.client.outcome().error().domain() == FailureDomain::kOurs);
    CHECK(talk.client.suspect());
    talk.client.cancel(talk.now);
    CHECK_FALSE(talk.client.busy());
  }

  TEST_CASE("a line that is never quiet ends as babble") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 1));
    for (int i = 0; i < 10'000 && talk.client.busy(); ++i) {
      talk.hears({0x55}, microseconds(500));
      const Step step = talk.client.step(talk.now);
      REQUIRE(step.kind != Step::Kind::kSend);
      if (step.kind == Step::Kind::kFinished) break;
    }
    CHECK_FALSE(talk.client.busy());
    CHECK(talk.client.outcome().error().kind == FailureKind::kBabble);

    // Nor does one that never got a word in claim to have waited since the clock began.
    Talk fresh;
    fresh.now = Instant{milliseconds(3'600'000)};
    fresh.client.open(fresh.now);
    for (int i = 0; i < 10'000; ++i) {
      fresh.hears({0x55}, microseconds(500));
      if (fresh.client.step(fresh.now).kind == Step::Kind::kFinished) break;
    }
    CHECK(fresh.client.outcome().error().kind == FailureKind::kBabble);
    CHECK(fresh.client.outcome().error().waited > milliseconds(1));
    CHECK(fresh.client.outcome().error().waited < milliseconds(2'000));
  }

  TEST_CASE("opening again forgets what was known of the line") {
    Talk talk;
    talk.open().asks(read_input_registers(0x40, 1));
    (void)talk.sends();
    talk.client.open(talk.now);
    CHECK(talk.client.statistics().echo == Echo::kUnknown);
    talk.probe();
    talk.fence();
    CHECK(talk.ended());
  }

  TEST_CASE("the gate breaks above a tenth of bad frames, a short run counting as twenty") {
    // A run of 12 frames with 6 bad ones once passed, as it was too short to be judged at all.
    Statistics statistics;
    statistics.frames_good = 5;
    statistics.frames_bad = 2;
    CHECK_FALSE(statistics.gate_broken());
    statistics.frames_bad = 3;
    CHECK(statistics.gate_broken());
    statistics.frames_good = 27;
    CHECK_FALSE(statistics.gate_broken());
    statistics.frames_bad = 4;
    CHECK(statistics.gate_broken());
  }
}
