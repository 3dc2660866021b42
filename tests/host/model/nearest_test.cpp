#include "host/model/nearest.hpp"

#include <array>
#include <string_view>

#include <doctest/doctest.h>

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("the nearest name is the one a slip of the pen leads away from") {
    constexpr std::array<std::string_view, 4> names = {"voltage", "absolute_max", "current", "power"};
    const std::span<const std::string_view> all(names);
    CHECK(nearest("voltge", all) == "voltage");
    CHECK(nearest("votlage", all) == "voltage");
    CHECK(nearest("Power", all) == "power");
    CHECK(nearest("absolutemax", all) == "absolute_max");
    CHECK(nearest("currrent", all) == "current");
    CHECK_FALSE(nearest("frequency", all).has_value());
    CHECK_FALSE(nearest("", all).has_value());
    CHECK_FALSE(nearest(std::string(100'000, 'v'), all).has_value());
    CHECK_FALSE(nearest("v", std::span<const std::string_view>()).has_value());
  }

  TEST_CASE("a short name is not taken for any other short name") {
    constexpr std::array<std::string_view, 2> names = {"X1", "S2"};
    CHECK_FALSE(nearest("BR", std::span<const std::string_view>(names)).has_value());
    CHECK(nearest("X2", std::span<const std::string_view>(names)).has_value());
  }

  TEST_CASE("a hint lists what there is") {
    constexpr std::array<std::string_view, 2> names = {"basalt", "slate"};
    CHECK(nearest_hint("slat", names, "panels") == "did you mean 'slate'? panels: basalt, slate");
    CHECK(nearest_hint("glass", {}, "panels") == "panels: none");
  }
}
