// What lines and adapters in the field do, under virtual time: none of it may end in a wrong value, and what
// is harmless may not end in an error.
#include <array>
#include <map>
#include <memory>
#include <random>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/conversation.hpp"
#include "host/link/session.hpp"
#include "protocol/rtu/frame.hpp"
#include "tests/host/link/far_unit.hpp"

using namespace host::link;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;

namespace {

struct Bench {
  explicit Bench(const LineSettings& line = {19200, Parity::kEven, 1}, std::uint8_t address = 1)
      : line_settings{line}, owned{std::make_unique<MemoryPort>(line)}, port{*owned}, unit{*owned, address} {}

  Result<Session> open() {
    SessionOptions chosen;
    chosen.line = line_settings;
    chosen.seed = 7;
    return Session::over(std::move(owned), chosen, /*own=*/true, Deadline{Instant{milliseconds(3'600'000)}},
                         stop);
  }

  LineSettings line_settings;
  CancelToken stop;
  std::unique_ptr<MemoryPort> owned;
  MemoryPort& port;
  FarUnit unit;
};

bool is_right(const Result<std::vector<std::uint16_t>>& words, std::uint16_t at, std::uint16_t count) {
  if (!words || words->size() != count) return false;
  for (std::uint16_t i = 0; i < count; ++i) {
    if ((*words)[i] != at + i) return false;
  }
  return true;
}

}  // namespace

TEST_SUITE("host/link/field") {
  // 255 octets take 2.3 s at 1200 Bd, far beyond any fixed timeout of half a second.
  TEST_CASE("the slowest line with the longest answer is waited for, without a retry") {
    Bench bench{{1200, Parity::kEven, 1}};
    auto session = bench.open();
    REQUIRE(session.has_value());
    CHECK(is_right(session->read(Table::kInput, 0x100, 125), 0x100, 125));
    CHECK(is_right(session->read(Table::kInput, 0x200, 124), 0x200, 124));
    CHECK(session->statistics().counts.retries == 0);
    CHECK(session->statistics().counts.timeouts == 0);
  }

  TEST_CASE("an answer that comes octet by octet with pauses of 0 to 20 ms is one answer") {
    std::mt19937 random{20261127};
    Bench bench;
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      for (const std::uint8_t octet : answer) {
        now += milliseconds(static_cast<std::int64_t>(random() % 21));
        port.deliver(Octets{&octet, 1}, now);
      }
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    for (std::uint16_t at = 0; at < 50; ++at) {
      const std::uint16_t count = at % 2 == 0 ? 3 : 4;
      if (!is_right(session->read(Table::kInput, at, count), at, count)) FAIL_CHECK("read " << at);
    }
    CHECK(session->statistics().counts.retries == 0);
  }

  TEST_CASE("a pause at any place of an answer never ends it") {
    std::size_t split = 0;
    Bench bench;
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      const std::size_t place = std::min(split, answer.size());
      port.deliver(answer.first(place), now);
      port.deliver(answer.subspan(place), now + milliseconds(60));
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    for (split = 1; split < 25; ++split) {
      const auto at = static_cast<std::uint16_t>(split * 16);
      const auto count = static_cast<std::uint16_t>(10 + split % 2);
      if (!is_right(session->read(Table::kInput, at, count), at, count)) FAIL_CHECK("split at " << split);
    }
    CHECK(session->statistics().counts.retries == 0);
  }

  TEST_CASE("a long answer wakes its program a few times, not for each octet, and no later than it ends") {
    Bench bench{{115200, Parity::kEven, 1}};
    Instant answer_ended{};
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      port.deliver(answer, now);
      answer_ended =
          now + Duration{static_cast<std::int64_t>(answer.size()) * 96};  // 11 bits: 95.5 us, rounded up
    };
    MemoryPort& port = bench.port;
    auto session = bench.open();
    REQUIRE(session.has_value());
    for (const auto count : std::to_array<std::uint16_t>({125, 60, 124})) {
      CAPTURE(count);
      const std::uint64_t waits = port.waits();
      CHECK(is_right(session->read(Table::kInput, 0x100, count), 0x100, count));
      // The silence before it, and the answer whole: when it ends is known by the exchanges before.
      CHECK(port.waits() - waits <= 3);  // 125 to 255 octets came
      CHECK((port.now() - answer_ended).count() >= 0);
      CHECK((port.now() - answer_ended).count() <= 50);
    }
    CHECK(session->statistics().counts.retries == 0);
  }

  TEST_CASE("a refusal where a long answer was due is told, and what comes late is waited for") {
    Bench bench{{115200, Parity::kEven, 1}};
    Duration late{};
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      port.deliver(answer, now + late);
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    CHECK(is_right(session->read(Table::kInput, 0x100, 125), 0x100, 125));
    const auto refused = session->read(Table::kInput, 0x9000, 120);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().fault == Fault::kRefused);
    late = milliseconds(30);
    CHECK(is_right(session->read(Table::kInput, 0x200, 119), 0x200, 119));
    CHECK(session->statistics().counts.retries == 0);
  }

  TEST_CASE("a port that goes away within a long answer is gone, and damage there condemns it") {
    Bench bench{{115200, Parity::kEven, 1}};
    int asked = 0;
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      if (answer.size() > 200 && ++asked == 1) {
        port.deliver_damaged(answer, 150, now);
      } else {
        port.deliver(answer, now);
      }
      if (asked == 3) port.hang_up(now + milliseconds(10));
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    CHECK(is_right(session->read(Table::kInput, 0x100, 125), 0x100, 125));
    CHECK(session->statistics().counts.retries == 1);
    const auto gone = session->read(Table::kInput, 0x100, 124);
    REQUIRE_FALSE(gone.has_value());
    CHECK(gone.error().fault == Fault::kGone);
  }

  // A unit that is deaf to what comes sooner would answer none of these.
  TEST_CASE("no request begins before t3.5 has passed since the last octet") {
    for (const LineSettings& line :
         {LineSettings{1200, Parity::kEven, 1}, LineSettings{19200, Parity::kEven, 1},
          LineSettings{115200, Parity::kNone, 1}}) {
      CAPTURE(to_text(line));
      Bench bench{line};
      const protocol::rtu::LineTiming timing{line.baud, static_cast<std::uint8_t>(bits_per_character(line))};
      Instant answer_ended{};
      Duration least = Duration::max();
      bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
        port.deliver(answer, now);
        answer_ended = now + timing.wire_time(answer.size());
      };
      Bench* const held = &bench;
      auto session = bench.open();
      REQUIRE(session.has_value());
      for (std::uint16_t at = 0; at < 20; ++at) {
        // Ahead of each request the time is that of the answer's end; the port's clock stands still between.
        const std::uint64_t sent_before = session->statistics().counts.octets_sent;
        const Instant before = held->port.now();
        const auto words = session->read(Table::kInput, at, static_cast<std::uint16_t>(2 + at % 3));
        REQUIRE(words.has_value());
        const auto octets = static_cast<std::size_t>(session->statistics().counts.octets_sent - sent_before);
        const Duration whole = session->statistics().counts.answer_time_last;
        if (octets == 8) least = std::min(least, (held->port.now() - whole) - before);
      }
      CHECK(least >= timing.frame_gap());
      CHECK(least < 3 * timing.frame_gap());
    }
  }

  TEST_CASE("a unit that was silent for a while is asked on over the same port") {
    Bench bench;
    bool silent = false;
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      if (!silent) port.deliver(answer, now);
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    for (int times = 0; times < 5; ++times) {
      silent = true;
      const auto none = session->read(Table::kInput, 5, 3);
      REQUIRE_FALSE(none.has_value());
      CHECK(none.error().fault == Fault::kSilent);
      silent = false;
      CHECK(is_right(session->read(Table::kInput, 9, 4), 9, 4));
    }
    CHECK(session->reopened() == 0);
  }

  TEST_CASE("another unit's frame just ahead of the answer doesn't end the wait") {
    Bench bench;
    const Bytes pdu{0x03, 0x04, 0xDE, 0xAD, 0xBE, 0xEF};
    const auto foreign = protocol::rtu::seal(9, pdu);
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      port.deliver(foreign.octets(), now);
      port.deliver(answer, now + milliseconds(1));
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    for (std::uint16_t at = 0; at < 10; ++at) {
      CHECK(is_right(session->read(Table::kInput, at, 2), at, 2));
    }
    CHECK(session->statistics().counts.frames_foreign >= 10);
  }

  TEST_CASE("two units that answer together never give a value that neither sent") {
    Bench bench;
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      // The other has another word in the first register; a line pulled low by either reads as both.
      Bytes together(answer.begin(), answer.end());
      if (together.size() > 8) {
        Bytes other = together;
        other[3] = static_cast<std::uint8_t>(~other[3]);
        const auto sealed = protocol::rtu::seal(other[0], Octets{other}.subspan(1, other.size() - 3));
        for (std::size_t i = 0; i < together.size(); ++i) together[i] &= sealed.octets()[i];
      }
      port.deliver(together, now);
    };
    auto session = bench.open();
    REQUIRE(session.has_value());
    int refused = 0;
    for (std::uint16_t at = 0x100; at < 0x110; ++at) {
      const auto words = session->read(Table::kInput, at, 3);
      if (words) {
        CHECK(is_right(words, at, 3));
      } else {
        CHECK(words.error().fault == Fault::kNoisy);
        ++refused;
      }
    }
    CHECK(refused > 0);
  }

  TEST_CASE("every way in which a request fails has words, a remedy and an exit code of its own") {
    using protocol::session::Failure;
    using protocol::session::FailureKind;
    std::set<std::string> said;
    for (const auto kind :
         {FailureKind::kCancelled, FailureKind::kException, FailureKind::kFenceRefused,
          FailureKind::kMismatch, FailureKind::kSilence, FailureKind::kNoise, FailureKind::kTruncated,
          FailureKind::kForeign, FailureKind::kEchoOnly, FailureKind::kCollision, FailureKind::kBabble}) {
      Failure failure;
      failure.kind = kind;
      failure.exception = protocol::pdu::ExceptionCode::kServerDeviceBusy;
      for (const Medium medium : {Medium::kSerial, Medium::kRtuOverTcp, Medium::kModbusTcp}) {
        const LinkError error = to_link_error(failure, 17, "here", medium);
        CHECK(error.message.find("unit 17 on here: ") == 0);
        CHECK_FALSE(error.remedy.empty());
        CHECK(error.exit_code >= 69);
        if (medium == Medium::kSerial) CHECK(said.insert(error.message).second);
        if (medium != Medium::kSerial) CHECK(error.remedy.find("baud") == std::string::npos);
      }
    }
    CHECK(said.size() == 11);
    for (const int code : {1, 2, 3, 4, 5, 6, 8, 10, 11}) {
      Failure failure;
      failure.kind = FailureKind::kException;
      failure.exception = static_cast<protocol::pdu::ExceptionCode>(code);
      CHECK(said.insert(to_link_error(failure, 1, "here", Medium::kSerial).message).second);
    }
  }
}
