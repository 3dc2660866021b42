#include "host/expect/nets/link_path.hpp"

#include <array>

#include <doctest/doctest.h>

#include "tests/host/expect/nets/bench_cable.hpp"

using namespace host;
using expect::nets::Route;

namespace {

signal::LinkPath path_of(const Route& route) {
  const auto path = link_path(route, tests::bench_loads().link);
  REQUIRE(path);
  return *path;
}

const std::array<signal::LvdsPixel, 4> kLine = {{{.red = 0x12, .green = 0x34, .blue = 0x56},
                                                 {.red = 0xFF, .green = 0x00, .blue = 0x81},
                                                 {.red = 0x80, .green = 0x7F, .blue = 0x01},
                                                 {.red = 0x00, .green = 0xFF, .blue = 0xFE}}};

std::vector<signal::LvdsPixel> shown(const signal::LinkPath& path) {
  return carry(model::Mapping::kVesa24, model::Mapping::kVesa24, path, kLine);
}

}  // namespace

TEST_SUITE("host/expect/nets") {
  TEST_CASE("a right cable carries every pixel as it is") {
    const auto line = shown(path_of(tests::bench_route()));
    CHECK(std::equal(line.begin(), line.end(), kLine.begin(), kLine.end()));
  }

  TEST_CASE("a wrong cable becomes the wiring that stands for its fault") {
    const auto straight = path_of(tests::bench_route());

    Route route = tests::bench_route();
    tests::exchange(route, 7, 8);
    CHECK(shown(path_of(route)) == shown(with_pair_reversed(straight, 0, 1)));

    route = tests::bench_route();
    tests::cut(route, 26);
    CHECK(shown(path_of(route)) == shown(with_pair_open(straight, 1, 3)));

    route = tests::bench_route();
    tests::exchange(route, 5, 7);
    tests::exchange(route, 6, 8);
    CHECK(shown(path_of(route)) == shown(with_pairs_crossed(straight, 0, 0, 1)));

    route = tests::bench_route();
    const std::pair<int, int> pins[] = {{5, 16},  {6, 17},  {7, 18},  {8, 19},  {9, 21},
                                        {10, 22}, {12, 23}, {13, 24}, {14, 25}, {15, 26}};
    for (const auto& [a, b] : pins) tests::exchange(route, a, b);
    CHECK(shown(path_of(route)) == shown(with_channels_swapped(straight, 0, 1)));
    CHECK(shown(path_of(route))[0] == kLine[1]);

    route = tests::bench_route();
    tests::exchange(route, 12, 13);
    CHECK(path_of(route).clock_reversed[0]);

    route = tests::bench_route();
    tests::cut(route, 23);
    CHECK(path_of(route).clock_open[1]);
    CHECK(shown(path_of(route)).empty());
  }

  TEST_CASE("what is no LVDS link has no path") {
    const Route route = tests::bench_route();
    auto link = tests::bench_loads().link;
    link.channels = 3;
    CHECK_FALSE(link_path(route, link));
    link.channels = 2;
    link.kind = model::LinkKind::kEdp;
    CHECK_FALSE(link_path(route, link));
    link.kind = model::LinkKind::kLvds;
    link.connector = "light-6";
    CHECK_FALSE(link_path(route, link));
    CHECK_FALSE(link_path(Route{}, link));
  }
}
