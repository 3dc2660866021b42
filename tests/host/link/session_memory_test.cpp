#include <csignal>
#include <cstdint>
#include <initializer_list>
#include <memory>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/far_unit.hpp"

using namespace host::link;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::base::Octets;

namespace {

const LineSettings kLine{19200, Parity::kEven, 1};

/// A session's port and the unit behind it. The session owns the port, so it goes first.
struct Bench {
  explicit Bench(std::uint8_t address = 1)
      : owned{std::make_unique<MemoryPort>(kLine)}, port{*owned}, unit{*owned, address} {}

  Result<Session> open(const SessionOptions& options, bool own = true,
                       Instant deadline = Instant{milliseconds(10'000)}) {
    return Session::over(std::move(owned), options, own, Deadline{deadline}, stop);
  }

  CancelToken stop;
  std::unique_ptr<MemoryPort> owned;
  MemoryPort& port;
  FarUnit unit;
};

SessionOptions options() {
  SessionOptions chosen;
  chosen.line = kLine;
  chosen.seed = 7;
  chosen.writes = WriteLimits::none();
  return chosen;
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("host/link/session in virtual time") {
  TEST_CASE("registers, identification and writes go there and back") {
    Bench bench;
    auto session = bench.open(options());
    REQUIRE_MESSAGE(session.has_value(), (session ? "" : session.error().message));
    for (const std::uint16_t count : std::initializer_list<std::uint16_t>{1, 2, 60, 125}) {
      const auto words = session->read(Table::kInput, 0x1000, count);
      REQUIRE(words.has_value());
      REQUIRE(words->size() == count);
      for (std::uint16_t i = 0; i < count; ++i) {
        CHECK((*words)[i] == 0x1000 + i);
      }
    }
    const std::vector<std::uint16_t> one{0xFFFF};
    const std::vector<std::uint16_t> three{1, 0xFF00, 3};
    CHECK(session->write(4, one).has_value());
    CHECK(session->write(10, three).has_value());
    CHECK(session->read(Table::kHolding, 4, 1) == one);
    CHECK(session->read(Table::kHolding, 10, 3) == three);

    const auto objects = session->identify();
    REQUIRE(objects.has_value());
    CHECK(*objects == bench.unit.device.objects);

    const WireStatistics wire = session->statistics();
    CHECK(wire.counts.retries == 0);
    CHECK(wire.counts.frames_bad == 0);
    CHECK(wire.octets() > 400);
    // 1072 octets at 11 bits and 19200 Bd alone take 0.61 s: virtual time was really spent.
    CHECK(wire.elapsed > milliseconds(400));
    CHECK_FALSE(session->line_gate_broken());
  }

  TEST_CASE(
      "a unit that needs more silence than 3.5 characters gets it, and units their time for a broadcast") {
    Bench bench;
    SessionOptions chosen = options();
    chosen.gap_min = milliseconds(10);
    chosen.broadcast_turnaround = milliseconds(150);
    Instant answer_ended{};
    Duration shortest = milliseconds(1'000'000);
    bench.unit.voice = [&](MemoryPort& port, Octets answer, Instant now) {
      if (answer_ended != Instant{}) {
        // The request took its eight octets of 573 us and more.
        shortest = std::min(shortest, now - answer_ended - microseconds(8 * 572));
      }
      port.deliver(answer, now);
      answer_ended = now + microseconds(static_cast<std::int64_t>(answer.size()) * 573);
    };
    auto session = bench.open(chosen);
    REQUIRE(session.has_value());
    for (std::uint16_t at = 0; at < 20; ++at) CHECK(session->read(Table::kInput, at, 2).has_value());
    CHECK(shortest >= milliseconds(10));
    CHECK(shortest < milliseconds(20));
    const Duration before = session->statistics().elapsed;
    CHECK(session->broadcast(protocol::pdu::write_single_register(0, 1)).has_value());
    CHECK(session->statistics().elapsed - before >= milliseconds(150));
  }

  TEST_CASE("a refusal carries the exception and the register") {
    Bench bench;
    auto session = bench.open(options());
    REQUIRE(session.has_value());
    const auto words = session->read(Table::kInput, 0x9000, 4);
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kRefused);
    CHECK(words.error().domain == Domain::kUnit);
    CHECK(words.error().exit_code == 69);
    CHECK(words.error().exception_code == 2);
    CHECK(words.error().register_address == 0x9000);
    CHECK(contains(words.error().message, "illegal data address"));
    CHECK(session->read(Table::kInput, 0x100, 4).has_value());
  }

  TEST_CASE("what can't be asked is a mistake of ours and says so") {
    Bench bench;
    auto session = bench.open(options());
    REQUIRE(session.has_value());
    for (const std::uint16_t count : std::initializer_list<std::uint16_t>{0, 126}) {
      const auto words = session->read(Table::kInput, 0, count);
      REQUIRE_FALSE(words.has_value());
      CHECK(words.error().domain == Domain::kOurs);
    }
    CHECK_FALSE(session->write(0, {}).has_value());
    CHECK_FALSE(session->write(0, std::vector<std::uint16_t>(124)).has_value());
    for (const std::uint8_t address : std::initializer_list<std::uint8_t>{0, 248}) {
      Bench other;
      SessionOptions wrong = options();
      wrong.unit_address = address;
      const auto refused = other.open(wrong);
      REQUIRE_FALSE(refused.has_value());
      CHECK(refused.error().exit_code == 64);
    }
  }

  TEST_CASE("a silent unit ends with 69 inside the deadline and says what was tried") {
    Bench bench{/*address=*/9};
    const auto session = bench.open(options());
    REQUIRE_FALSE(session.has_value());
    const LinkError& error = session.error();
    CHECK(error.fault == Fault::kSilent);
    CHECK(error.exit_code == 69);
    CAPTURE(error.message);
    CHECK(contains(error.message, "unit 1 on memory at 19200 Bd 8E1"));
    CHECK(contains(error.message, "nothing came back"));
    CHECK(error.elapsed < milliseconds(10'000));
    CHECK(bench.unit.answers == 0);
  }

  TEST_CASE("a short deadline is kept to the microsecond, and silence is still called silence") {
    Bench bench{/*address=*/9};
    const auto session = bench.open(options(), true, Instant{milliseconds(100)});
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kSilent);
    CHECK(session.error().elapsed == milliseconds(100));
  }

  TEST_CASE("the deadline is the whole command's, not each request's") {
    Bench bench;
    auto session = bench.open(options(), true, Instant{milliseconds(2'000)});
    REQUIRE(session.has_value());
    int answered = 0;
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t i = 0; words && i < 1000; ++i) {
      words = session->read(Table::kInput, 0, static_cast<std::uint16_t>(100 + i % 20));
      answered += words ? 1 : 0;
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kOutOfTime);
    CHECK(words.error().exit_code == 69);
    CHECK(answered > 5);
  }

  TEST_CASE("other line settings at the far end are never a pass") {
    for (const LineSettings far :
         {LineSettings{9600, Parity::kEven, 1}, LineSettings{19200, Parity::kOdd, 1}}) {
      CAPTURE(to_text(far));
      Bench bench;
      bench.port.set_far(far);
      const auto session = bench.open(options());
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().exit_code == 69);
      CHECK(session.error().domain == Domain::kLine);
    }
  }

  TEST_CASE("answers in pieces, behind noise or damaged once give the right value or none") {
    int calls = 0;
    const std::vector<FarUnit::Voice> voices{
        [](MemoryPort& port, Octets answer, Instant now) { port.deliver(answer, now, milliseconds(5)); },
        [](MemoryPort& port, Octets answer, Instant now) {
          const std::vector<std::uint8_t> floating{0xFF, 0x00, 0xFF};
          port.deliver(floating, now);
          port.deliver(answer, now + milliseconds(3));
        },
        [&calls](MemoryPort& port, Octets answer, Instant now) {
          if (++calls % 4 == 0) {
            port.deliver_damaged(answer, answer.size() / 2, now);
          } else {
            port.deliver(answer, now);
          }
        },
        [&calls](MemoryPort& port, Octets answer, Instant now) {
          std::vector<std::uint8_t> wrong(answer.begin(), answer.end());
          if (++calls % 4 == 0) {
            wrong.back() = static_cast<std::uint8_t>(~wrong.back());
          }
          port.deliver(wrong, now);
        },
    };
    for (std::size_t voice = 0; voice < voices.size(); ++voice) {
      CAPTURE(voice);
      calls = 0;
      Bench bench;
      bench.unit.voice = voices[voice];
      auto session = bench.open(options(), true, Instant{milliseconds(60'000)});
      REQUIRE_MESSAGE(session.has_value(), (session ? "" : session.error().message));
      for (std::uint16_t at = 0; at < 40; ++at) {
        const auto words = session->read(Table::kInput, static_cast<std::uint16_t>(at * 7), 3);
        REQUIRE_MESSAGE(words.has_value(), (words ? "" : words.error().message));
        CHECK(words->front() == at * 7);
      }
      const auto& counts = session->statistics().counts;
      CHECK((counts.retries > 0) == (voice >= 2));
      CHECK((counts.frames_bad > 0) == (voice >= 2));
    }
  }

  TEST_CASE("more than one bad frame in ten breaks the line's gate") {
    int calls = 0;
    Bench bench;
    bench.unit.voice = [&calls](MemoryPort& port, Octets answer, Instant now) {
      if (++calls % 5 == 0) {
        port.deliver_damaged(answer, 2, now);
      } else {
        port.deliver(answer, now);
      }
    };
    auto session = bench.open(options(), true, Instant{milliseconds(60'000)});
    REQUIRE(session.has_value());
    for (std::uint16_t at = 0; at < 30; ++at) {
      (void)session->read(Table::kInput, at, 2);
    }
    CHECK(session->line_gate_broken());
  }

  TEST_CASE("late and doubled answers never pass for another request's") {
    int calls = 0;
    Bench bench;
    bench.unit.voice = [&calls](MemoryPort& port, Octets answer, Instant now) {
      ++calls;
      port.deliver(answer, calls % 7 == 0 ? now + milliseconds(700) : now);
      if (calls % 5 == 0) {
        port.deliver(answer, now + milliseconds(40));
      }
    };
    auto session = bench.open(options(), true, Instant{milliseconds(3'600'000)});
    int right = 0;
    for (std::uint16_t at = 0; session && at < 500; ++at) {
      const auto words = session->read(Table::kInput, at, 2);
      if (words) {
        REQUIRE(words->front() == at);
        ++right;
      }
    }
    CHECK(right > 400);
    CHECK(session->statistics().counts.fences > 20);
  }

  TEST_CASE("a line that hangs up in the middle of an answer is gone") {
    Bench bench;
    int calls = 0;
    bench.unit.voice = [&calls](MemoryPort& port, Octets answer, Instant now) {
      port.deliver(answer, now);
      if (++calls == 4) {
        port.hang_up(now + milliseconds(2));
      }
    };
    auto session = bench.open(options());
    REQUIRE(session.has_value());
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t at = 0; words && at < 10; ++at) {
      words = session->read(Table::kInput, at, 20);
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kGone);
    CHECK(words.error().exit_code == 74);
    CHECK(words.error().port == "memory");
    // And it stays gone.
    CHECK(session->read(Table::kInput, 0, 1).error().fault == Fault::kGone);
  }

  TEST_CASE("a wish to stop ends the wait, with the signal in the exit code") {
    Bench bench{/*address=*/9};
    bench.port.schedule(Instant{milliseconds(30)}, [&](Instant) { bench.stop.cancel(SIGTERM); });
    const auto session = bench.open(options());
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kCancelled);
    CHECK(session.error().exit_code == 143);
    CHECK(session.error().elapsed == milliseconds(30));
  }

  TEST_CASE("on a line with traffic nothing is said, unless the link is told to share it") {
    const std::vector<std::uint8_t> foreign{0x07, 0x03, 0x00, 0x00, 0x00, 0x02, 0xC4, 0x6D};
    {
      Bench bench;
      bench.port.deliver(foreign, Instant{milliseconds(800)});
      const auto session = bench.open(options(), /*own=*/false);
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().fault == Fault::kForeignTraffic);
      CHECK(session.error().domain == Domain::kLine);
      CAPTURE(session.error().message);
      CHECK(contains(session.error().message, "07 03 00 00 00 02 C4 6D"));
      CHECK(contains(session.error().remedy, "--share"));
      CHECK(bench.unit.answers == 0);
    }
    {
      Bench bench;
      bench.port.deliver_damaged(std::vector<std::uint8_t>{0x55}, 0, Instant{milliseconds(10)});
      const auto session = bench.open(options(), /*own=*/false);
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().fault == Fault::kForeignTraffic);
    }
    {
      Bench bench;
      bench.port.deliver(foreign, Instant{milliseconds(10)});
      SessionOptions share = options();
      share.share = true;
      CHECK(bench.open(share, /*own=*/false).has_value());
    }
    {
      Bench bench;
      auto session = bench.open(options(), /*own=*/false);
      REQUIRE(session.has_value());
      CHECK(session->statistics().elapsed > milliseconds(1000));
    }
  }
}
