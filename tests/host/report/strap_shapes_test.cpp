#include "host/report/strap_shapes.hpp"

#include <doctest/doctest.h>

using namespace host::report;

namespace {

template <typename S>
std::vector<S> all(const std::vector<Shape>& shapes, Role role) {
  std::vector<S> found;
  for (const auto& shape : shapes) {
    if (const auto* one = std::get_if<S>(&shape); one != nullptr && one->role == role) found.push_back(*one);
  }
  return found;
}

StandingStrap jumper(unsigned bits, int turn) {
  StandingStrap strap;
  strap.count = 4;
  strap.bits = bits;
  strap.care = 0b111;
  strap.pin_1 = {10'000, 20'000};
  strap.pitch = 1000;
  strap.turn_degrees = turn;
  return strap;
}

bool covers(const RectangleShape& box, Spot spot) {
  return box.corner.x < spot.x && spot.x < box.corner.x + box.width && box.corner.y < spot.y &&
         spot.y < box.corner.y + box.height;
}

}  // namespace

TEST_SUITE("host/report/strap_shapes") {
  TEST_CASE("pins follow pin 1 in the direction the strap is turned") {
    const std::vector<std::pair<int, Spot>> last{
        {0, {13'000, 20'000}}, {90, {10'000, 23'000}}, {180, {7000, 20'000}}, {270, {10'000, 17'000}}};
    for (const auto& [turn, spot] : last) {
      CAPTURE(turn);
      const auto pins = all<CircleShape>(strap_shapes(jumper(0, turn)), Role::kPin);
      REQUIRE(pins.size() == 4);
      CHECK(pins.front().centre == Spot{10'000, 20'000});
      CHECK(pins.back().centre == spot);
    }
  }

  TEST_CASE("a cap lies over the two pins it joins, whichever way the strap is turned") {
    for (const int turn : {0, 90, 180, 270}) {
      for (unsigned bits = 0; bits < 8; ++bits) {
        CAPTURE(turn);
        CAPTURE(bits);
        const auto shapes = strap_shapes(jumper(bits, turn));
        const auto pins = all<CircleShape>(shapes, Role::kPin);
        std::vector<bool> joined;
        for (std::size_t pin = 0; pin + 1 < pins.size(); ++pin) {
          bool found = false;
          for (const auto& cap : all<RectangleShape>(shapes, Role::kCap))
            found = found || (covers(cap, pins[pin].centre) && covers(cap, pins[pin + 1].centre));
          joined.push_back(found);
        }
        CHECK(joined == std::vector<bool>{(bits & 1U) != 0, (bits & 2U) != 0, (bits & 4U) != 0});
      }
    }
  }

  TEST_CASE("a slider is up for on, down for off, and crossed out where it doesn't matter") {
    StandingStrap bank;
    bank.kind = StrapDrawing::Kind::kSwitches;
    bank.count = 3;
    bank.bits = 0b001;
    bank.care = 0b011;
    bank.pitch = 1000;
    const auto shapes = strap_shapes(bank);
    const auto sliders = all<RectangleShape>(shapes, Role::kCap);
    REQUIRE(sliders.size() == 2);
    CHECK(sliders[0].corner.y > 0);
    CHECK(sliders[1].corner.y + sliders[1].height < 0);
    const auto crosses = all<LineShape>(shapes, Role::kFaint);
    CHECK(crosses.size() == 2);
    CHECK(crosses.front().from.x > 1500);
  }

  TEST_CASE("pin 1 is marked, and impossible counts draw nothing") {
    CHECK(all<PolylineShape>(strap_shapes(jumper(1, 0)), Role::kPin1).size() == 1);
    StandingStrap none;
    CHECK(strap_shapes(none).empty());
    none.count = 17;
    CHECK(strap_shapes(none).empty());
    CHECK(drawn(StrapDrawing{}).shapes.empty());
  }

  TEST_CASE("positions are said as they are set") {
    using Kind = StrapDrawing::Kind;
    CHECK(position_words(Kind::kJumper, 4, 0b101, 0b111) == "1-2+3-4");
    CHECK(position_words(Kind::kJumper, 3, 0, 0b11) == "open");
    CHECK(position_words(Kind::kSwitches, 4, 0b0001, 0b1011) == "10x0");
    CHECK(position_words(Kind::kJumper, 3, 0b11, 0) == "any");
  }

  TEST_CASE("an enlarged strap shows both positions where one was read") {
    StrapDrawing strap;
    strap.id = "BR2";
    strap.count = 3;
    strap.expected = 0b01;
    strap.expected_care = 0b11;
    strap.read_known = true;
    strap.read = 0b10;
    const Drawing both = drawn(strap);
    CHECK(both.caption == "BR2: expected 1-2, read 2-3");
    CHECK(all<RectangleShape>(both.shapes, Role::kCap).size() == 2);
    strap.read_known = false;
    CHECK(drawn(strap).caption == "BR2: expected 1-2, read not known");
    strap.actual_word.clear();
    CHECK(drawn(strap).caption == "BR2 1-2");
  }
}
