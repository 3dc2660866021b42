#include "host/expect/sheet/label_places.hpp"

#include <doctest/doctest.h>

using namespace host::expect::sheet;
using host::report::Anchor;
using host::report::Role;
using host::report::TextShape;

namespace {

TextShape label(std::int64_t x, std::int64_t y) {
  return {{x, y}, 2000, Anchor::kStart, "BR1", Role::kStrong};
}

}  // namespace

TEST_SUITE("host/expect/sheet/label_places") {
  TEST_CASE("a label goes to the first place that is free, and takes it") {
    LabelPlaces places;
    places.take({0, 0, 5000, 5000});
    CHECK(places.choose({{label(1000, 1000)}, {label(1000, 6000)}}).front().at.y == 6000);
    CHECK(places.choose({{label(1000, 6000)}, {label(9000, 6000)}}).front().at.x == 9000);
  }

  TEST_CASE("where nothing is free the first place is as good as any") {
    LabelPlaces places;
    places.take({0, 0, 50'000, 50'000});
    CHECK(places.choose({{label(1000, 1000)}, {label(1000, 6000)}}).front().at.y == 1000);
  }

  TEST_CASE("boxes that only touch don't meet") {
    CHECK_FALSE(Box{0, 0, 10, 10}.meets({10, 0, 20, 10}));
    CHECK(Box{0, 0, 10, 10}.meets({9, 9, 20, 20}));
  }
}
