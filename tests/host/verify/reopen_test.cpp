#include <doctest/doctest.h>

#include "host/verify/acquire.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/host/verify/memory_unit.hpp"

using host::verify::acquire;
using host::verify::Consistency;
using host::verify::Snapshot;
using host::verify::Verdict;
using protocol::points::Point;

namespace {

/// A line that goes away at one transaction, and comes back with the same unit or another behind it.
class BreakingReader final : public host::verify::Reader {
 public:
  BreakingReader(MemoryUnit& before, MemoryUnit& after, int breaks_at)
      : first_{before}, second_{after}, breaks_at_{breaks_at} {}

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override {
    if (auto gone = breaks()) return tl::unexpected{*gone};
    return now().read(table, address, count);
  }
  host::link::Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    if (auto gone = breaks()) return tl::unexpected{*gone};
    return now().write(address, words);
  }
  host::link::Result<host::link::DeviceObjects> identify() override {
    if (auto gone = breaks()) return tl::unexpected{*gone};
    return now().identify();
  }
  [[nodiscard]] host::link::WireStatistics statistics() const override { return {}; }
  host::link::Result<void> reopen() override {
    if (!comes_back)
      return host::link::failure(host::link::Fault::kOutOfTime, "it did not come back in time");
    ++reopened;
    return {};
  }

  bool comes_back = true;
  bool breaks_always = false;
  host::link::Fault breaks_by = host::link::Fault::kGone;
  int reopened = 0;

 private:
  MemoryReader& now() { return reopened == 0 ? first_ : second_; }
  std::optional<host::link::LinkError> breaks() {
    ++transactions_;
    const bool breaks = transactions_ == breaks_at_ || (breaks_always && transactions_ % breaks_at_ == 0);
    if (!breaks) return std::nullopt;
    return host::link::link_error(breaks_by, "the port went away");
  }

  MemoryReader first_, second_;
  int breaks_at_;
  int transactions_ = 0;
};

host::link::Result<Snapshot> acquired(BreakingReader& reader, bool serial_named = false) {
  return acquire(reader, {.address = 1, .owner = 0x4711, .serial_named = serial_named});
}

}  // namespace

TEST_SUITE("host/verify/reopen") {
  TEST_CASE("a line lost at any transaction is taken up again and the unit, which is named, read anew") {
    const Bench bench;
    int lost = 0;
    for (int at = 1; at <= 8; ++at) {
      CAPTURE(at);
      MemoryUnit unit{bench.snapshot};
      BreakingReader reader{unit, unit, at};
      const auto snapshot = acquired(reader, true);
      REQUIRE(snapshot.has_value());
      CHECK(snapshot->consistency == Consistency::kLatched);
      CHECK(snapshot->trouble.empty());
      lost += reader.reopened;
      auto judged = bench;
      judged.demands.serial = "SN-0042";
      judged.snapshot = *snapshot;
      CHECK(judged.judge().verdict == Verdict::kPass);
    }
    CHECK(lost >= 4);
  }

  TEST_CASE("a line lost before the unit said its serial number leaves unknown who came back") {
    const Bench bench;
    // Who it is, the latch, two blocks of the image with the serial number in the first, the mark.
    for (int at = 1; at <= 5; ++at) {
      CAPTURE(at);
      MemoryUnit unit{bench.snapshot};
      BreakingReader reader{unit, unit, at};
      const auto snapshot = acquired(reader);
      REQUIRE(snapshot.has_value());
      CHECK(reader.reopened == 1);
      CHECK(snapshot->consistency == Consistency::kLatched);
      const bool unknown = at <= 3;
      CHECK((snapshot->trouble.find("whether the same unit came back") != std::string::npos) == unknown);
      auto judged = bench;
      judged.snapshot = *snapshot;
      CHECK(judged.judge().verdict == (unknown ? Verdict::kIncomplete : Verdict::kPass));
    }
  }

  TEST_CASE("a unit that has no serial number is never known to be the one that came back") {
    Bench bench;
    bench.unread(Point::kIdentitySerial, protocol::points::Unread::kNotFitted);
    MemoryUnit unit{bench.snapshot};
    BreakingReader reader{unit, unit, 5};
    const auto snapshot = acquired(reader);
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->trouble.find("whether the same unit came back") != std::string::npos);
  }

  TEST_CASE("another unit behind the line that came back is never judged as the first") {
    // The second two look the same once they are cleaned.
    for (const auto& [before, after] : {std::pair{"SN-0042", "SN-0043"}, {"SN-0042\x01", R"(SN-0042\x01)"}}) {
      Bench bench;
      bench.read_text(Point::kIdentitySerial, before);
      Bench other;
      other.read_text(Point::kIdentitySerial, after);
      int swapped = 0;
      for (int at = 1; at <= 8; ++at) {
        for (const bool named : {false, true}) {
          CAPTURE(at);
          CAPTURE(named);
          MemoryUnit first{bench.snapshot};
          MemoryUnit second{other.snapshot};
          BreakingReader reader{first, second, at};
          const auto snapshot = acquired(reader, named);
          REQUIRE(snapshot.has_value());
          auto judged = bench;
          if (named) judged.demands.serial = before;
          judged.snapshot = *snapshot;
          CHECK(judged.judge().verdict == (reader.reopened == 0 ? Verdict::kPass : Verdict::kIncomplete));
          swapped += snapshot->trouble.find("another unit was there") != std::string::npos ? 1 : 0;
        }
      }
      CHECK(swapped >= 4);
    }
  }

  TEST_CASE("a line that does not come back, or goes each time, ends incomplete") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    BreakingReader silent{unit, unit, 3};
    silent.comes_back = false;
    const auto ended = acquired(silent);
    REQUIRE(ended.has_value());
    CHECK(ended->trouble.find("did not come back") != std::string::npos);
    CHECK(ended->consistency == Consistency::kTorn);
    BreakingReader flapping{unit, unit, 3};
    flapping.breaks_always = true;
    const auto given_up = acquired(flapping);
    REQUIRE(given_up.has_value());
    CHECK(flapping.reopened == 3);
    CHECK_FALSE(given_up->trouble.empty());
  }

  TEST_CASE("a serial number that only looks right once it is cleaned is another unit's") {
    Bench bench;
    bench.demands.serial = "SN-0042";
    CHECK(bench.judge().verdict == Verdict::kPass);
    bench.read_text(Point::kIdentitySerial, "SN-0042\x01");
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    bench.demands.serial = "SN-0042\x02";
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("without a latch, a line that has shown a bad frame is read twice and has to agree") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.has_latch = false;
    MemoryReader clean{unit};
    CHECK(acquire(clean, {.address = 1, .owner = 1})->consistency == Consistency::kBracketed);
    MemoryReader noisy{unit};
    noisy.statistics_now.counts.frames_bad = 1;
    CHECK(acquire(noisy, {.address = 1, .owner = 1})->consistency == Consistency::kBracketed);
    CHECK(noisy.transactions > clean.transactions * 3 / 2);
    // A value that differs each time never counts.
    MemoryReader shifting{unit};
    shifting.statistics_now.counts.frames_bad = 1;
    std::int64_t value = 0;
    unit.before_read = [&] { unit.set(Point::kRailsPanelOutMv, value += 500); };
    CHECK(acquire(shifting, {.address = 1, .owner = 1})->consistency == Consistency::kTorn);
  }

  TEST_CASE("the live blocks of a whole unit take few reads") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    unit.has_latch = false;
    MemoryReader reader{unit};
    REQUIRE(acquire(reader, {.address = 1, .owner = 1}).has_value());
    MESSAGE("live reads: " << reader.reads.size());
    CHECK(reader.reads.size() <= 20);
  }

  TEST_CASE("a second unit of the address that shows midway is named, and the set is no ground") {
    Bench bench;
    MemoryUnit unit{bench.snapshot};
    BreakingReader reader{unit, unit, /*breaks_at=*/4};
    reader.breaks_by = host::link::Fault::kSharedAddress;
    const auto snapshot = acquired(reader);
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->shared_address);
    CHECK(reader.reopened == 0);
    bench.snapshot = *snapshot;
    const auto judged = bench.judge();
    CHECK(judged.verdict == Verdict::kIncomplete);
    CHECK(judged.next.find("give it another address") != std::string::npos);
  }
}
