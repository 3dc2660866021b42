#include <doctest/doctest.h>

#include "host/verify/acquire.hpp"
#include "tests/host/verify/bench.hpp"
#include "tests/host/verify/memory_unit.hpp"

using host::verify::acquire;
using host::verify::Verdict;

TEST_SUITE("host/verify/line") {
  TEST_CASE("a unit that falls silent at any point never passes") {
    const Bench bench;
    bool whole_seen = false;
    for (int answers = 0; answers < 10 && !whole_seen; ++answers) {
      CAPTURE(answers);
      MemoryUnit unit{bench.snapshot};
      MemoryReader reader{unit};
      reader.answers_left = answers;
      const auto snapshot = acquire(reader, {.address = 1, .owner = 5});
      if (!snapshot) {
        CHECK(answers == 0);
        CHECK(snapshot.error().exit_code == 69);
        continue;
      }
      auto judged = bench;
      judged.snapshot = *snapshot;
      whole_seen = reader.answers_left >= 0;
      CHECK(snapshot->trouble.empty() == whole_seen);
      CHECK(judged.judge().verdict == (whole_seen ? Verdict::kPass : Verdict::kIncomplete));
    }
    CHECK(whole_seen);
  }

  TEST_CASE("no snapshot of a line with too many bad frames passes") {
    const Bench bench;
    MemoryUnit unit{bench.snapshot};
    MemoryReader reader{unit};
    reader.statistics_now.counts.frames_good = 80;
    reader.statistics_now.counts.frames_bad = 20;
    const auto snapshot = acquire(reader, {.address = 1, .owner = 5});
    REQUIRE(snapshot.has_value());
    CHECK(snapshot->wire.gate_broken);
    auto judged = bench;
    judged.snapshot = *snapshot;
    CHECK(judged.judge().verdict == Verdict::kIncomplete);
  }

  TEST_CASE("an empty snapshot, as of a unit that never answered, is incomplete") {
    Bench bench;
    bench.snapshot = {};
    bench.demands = {};
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
    bench.snapshot.trouble = "no answer";
    CHECK(bench.judge().verdict == Verdict::kIncomplete);
  }
}
