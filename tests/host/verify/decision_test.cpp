#include "host/verify/decision.hpp"

#include <doctest/doctest.h>

using host::verify::decide;
using host::verify::Standing;
using Limits = host::model::Bounds<std::int64_t>;

TEST_SUITE("host/verify/decision") {
  TEST_CASE("a reading is proven only when its whole uncertainty is on one side") {
    const Limits limits{3000, 3300, 3600};
    CHECK(decide(3300, 30, limits) == Standing::kInside);
    CHECK(decide(3030, 30, limits) == Standing::kInside);
    CHECK(decide(3029, 30, limits) == Standing::kUncertain);
    CHECK(decide(2970, 30, limits) == Standing::kUncertain);
    CHECK(decide(2969, 30, limits) == Standing::kBelow);
    CHECK(decide(3570, 30, limits) == Standing::kInside);
    CHECK(decide(3571, 30, limits) == Standing::kUncertain);
    CHECK(decide(3630, 30, limits) == Standing::kUncertain);
    CHECK(decide(3631, 30, limits) == Standing::kAbove);
  }

  TEST_CASE("without uncertainty a limit belongs to the inside") {
    const Limits limits{2, 2, 2};
    CHECK(decide(2, 0, limits) == Standing::kInside);
    CHECK(decide(1, 0, limits) == Standing::kBelow);
    CHECK(decide(3, 0, limits) == Standing::kAbove);
  }

  TEST_CASE("a missing limit does not limit") {
    CHECK(decide(-1'000'000, 5, Limits{std::nullopt, std::nullopt, 10}) == Standing::kInside);
    CHECK(decide(1'000'000, 5, Limits{10, std::nullopt, std::nullopt}) == Standing::kInside);
    CHECK(decide(0, 5, Limits{}) == Standing::kInside);
  }

  TEST_CASE("an uncertainty wider than the limits proves nothing either way") {
    CHECK(decide(3300, 5000, Limits{3000, std::nullopt, 3600}) == Standing::kUncertain);
  }
}
