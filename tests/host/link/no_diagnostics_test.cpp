// Units without function 08, from the session's side: what takes the fence's place keeps every value right.
#include <memory>
#include <random>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "protocol/rtu/frame.hpp"
#include "tests/host/link/far_unit.hpp"

using namespace host::link;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;

namespace {

const LineSettings kLine{19200, Parity::kNone, 1};
constexpr std::uint8_t kDiagnostics = 0x08;

enum class Without08 { kRefuses, kIsSilent };

// Longer than any wait of the session: 200 ms turnaround, 16 ms adapter, 20 ms margin and the octets.
constexpr std::int64_t kLateMs = 400;

struct Bench {
  explicit Bench(Without08 manner) : owned{std::make_unique<MemoryPort>(kLine)}, unit{*owned, 1} {
    unit.voice = [this, manner](MemoryPort& port, Octets answer, Instant now) {
      if (answer[1] == kDiagnostics) {
        ++asked_08;
        const std::vector<std::uint8_t> refusal{kDiagnostics | 0x80U, 0x01};
        if (manner == Without08::kRefuses) port.deliver(protocol::rtu::seal(1, refusal).octets(), now);
        return;
      }
      const bool late = random() % 1000 < late_permille;
      port.deliver(answer, now + (late ? milliseconds(kLateMs) : Duration{}));
    };
  }

  Result<Session> open(SessionOptions options) {
    options.line = kLine;
    options.seed = 7;
    return Session::over(std::move(owned), options, /*own=*/true, Deadline{Instant{milliseconds(36'000'000)}},
                         stop);
  }

  CancelToken stop;
  std::unique_ptr<MemoryPort> owned;
  FarUnit unit;
  std::mt19937 random{20261128};
  unsigned late_permille = 0;
  int asked_08 = 0;
};

struct Tally {
  int right = 0, failed = 0, wrong = 0;
};

// Reads of the two same shapes at other places, so that any answer to another read is a wrong value.
Tally read_many(Session& session, int reads) {
  Tally tally;
  for (int i = 0; i < reads; ++i) {
    const auto at = static_cast<std::uint16_t>(0x1000 + 8 * (i % 500));
    const auto count = static_cast<std::uint16_t>(2 + i % 2);
    const auto words = session.read(Table::kInput, at, count);
    if (!words) {
      ++tally.failed;
    } else if (words->front() == at && words->back() == at + count - 1) {
      ++tally.right;
    } else {
      ++tally.wrong;
    }
  }
  return tally;
}

SessionOptions by_reads() {
  SessionOptions options;
  options.probe_table = Table::kInput;
  options.probe_address = 0x300;
  options.probe_registers_max = 20;
  return options;
}

SessionOptions by_silence() {
  SessionOptions options;
  options.has_diagnostics = false;
  options.answer_time_max = milliseconds(kLateMs + 50);
  return options;
}

}  // namespace

TEST_SUITE("host/link/no_diagnostics") {
  TEST_CASE("where 08 is refused, reads of unused lengths keep late answers out") {
    Bench bench{Without08::kRefuses};
    auto session = bench.open(by_reads());
    REQUIRE(session.has_value());
    CHECK(bench.asked_08 == 2);
    bench.late_permille = 30;
    const Tally tally = read_many(*session, 3000);
    const auto counts = session->statistics().counts;
    CHECK(tally.wrong == 0);
    CHECK(tally.right > 2900);
    CHECK(counts.timeouts > 50);
    CHECK(counts.fences > counts.timeouts);
    CHECK(bench.asked_08 == 2);
    CHECK_FALSE(session->line_gate_broken());
  }

  TEST_CASE("a unit that would not answer 08 at all is never asked it where its options say so") {
    Bench bench{Without08::kIsSilent};
    SessionOptions options = by_reads();
    options.has_diagnostics = false;
    auto session = bench.open(options);
    REQUIRE(session.has_value());
    bench.late_permille = 30;
    const Tally tally = read_many(*session, 3000);
    CHECK(tally.wrong == 0);
    CHECK(tally.right > 2900);
    CHECK(bench.asked_08 == 0);
    CHECK_FALSE(session->line_gate_broken());
  }

  TEST_CASE("where no such reads are known, the declared worst answer time is kept as a silence") {
    Bench bench{Without08::kIsSilent};
    auto session = bench.open(by_silence());
    REQUIRE(session.has_value());
    bench.late_permille = 30;
    const Tally tally = read_many(*session, 1000);
    CHECK(tally.wrong == 0);
    CHECK(tally.right > 950);
    CHECK(session->statistics().counts.timeouts > 10);
    CHECK_FALSE(session->line_gate_broken());
  }

  TEST_CASE(
      "where nothing is known of the unit, a line without trouble carries a verdict, one with it none") {
    Bench bench{Without08::kRefuses};
    auto session = bench.open(SessionOptions{});
    REQUIRE(session.has_value());
    CHECK(read_many(*session, 20).right == 20);
    CHECK_FALSE(session->line_gate_broken());
    bench.late_permille = 1000;
    (void)session->read(Table::kInput, 0x1000, 2);
    bench.late_permille = 0;
    (void)session->read(Table::kInput, 0x1000, 3);
    CHECK(session->line_gate_broken());
    CHECK(session->statistics().counts.fences_missing > 0);
  }

  TEST_CASE("single bits come as the unit has them, in order and over octets' ends") {
    Bench bench{Without08::kRefuses};
    SessionOptions options;
    options.writes = WriteLimits::none();
    auto session = bench.open(options);
    REQUIRE(session.has_value());
    const std::vector<std::uint16_t> words{0b1010'0101'1100'0011, 0x0001};
    REQUIRE(session->write(2, words).has_value());
    const auto bits = session->read_bits(BitTable::kCoils, 2 * 16, 19);  // bit b of register n is 16 n + b
    REQUIRE(bits.has_value());
    REQUIRE(bits->size() == 19);
    for (std::size_t i = 0; i < bits->size(); ++i) {
      CAPTURE(i);
      CHECK((*bits)[i] == ((words[i / 16] >> (i % 16) & 1) != 0));
    }
    const auto inputs = session->read_bits(BitTable::kDiscretes, 5 * 16, 3);  // input register 5 holds 5
    REQUIRE(inputs.has_value());
    CHECK(*inputs == std::vector<bool>{true, false, true});
    CHECK_FALSE(session->read_bits(BitTable::kCoils, 0, 0).has_value());
    CHECK_FALSE(session->read_bits(BitTable::kCoils, 0, 2001).has_value());
    CHECK(session->read_bits(BitTable::kCoils, 0x9000, 8).error().fault == Fault::kRefused);
  }
}
