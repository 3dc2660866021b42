#include "host/signal/card/card.hpp"

#include <set>

#include <doctest/doctest.h>

#include "host/signal/card/glyphs.hpp"

using namespace host::signal::card;

namespace {

CardPlan bar() {
  return {1920, 1080, 0, 360, 1920, 360, false, "stop-display 1920 x 360"};
}

CardPlan round_panel() {
  return {480, 480, 0, 0, 480, 480, true, "clock"};
}

}  // namespace

TEST_SUITE("host/signal/card") {
  TEST_CASE("the border is one pixel wide and stands on the very edge of the panel's window") {
    const CardPlan plan = bar();
    const Raster card = draw_card(plan);
    CHECK(card.width() == 1920);
    CHECK(card.height() == 1080);
    for (int x = 0; x < 1920; ++x) {
      CAPTURE(x);
      REQUIRE(card.at(x, 360) == kWhite);
      REQUIRE(card.at(x, 719) == kWhite);
      REQUIRE(card.at(x, 359) == kBlack);
      REQUIRE(card.at(x, 720) == kBlack);
    }
    for (int y = 360; y < 720; ++y) {
      CAPTURE(y);
      REQUIRE(card.at(0, y) == kWhite);
      REQUIRE(card.at(1919, y) == kWhite);
    }
    CHECK(card.at(1, 540) != kWhite);
    CHECK(card.at(1918, 540) != kWhite);
  }

  TEST_CASE("nothing is drawn outside the window") {
    const CardPlan plan = bar();
    const Raster card = draw_card(plan);
    for (int y = 0; y < 1080; ++y) {
      if (y >= 360 && y < 720) continue;
      for (int x = 0; x < 1920; x += 7) REQUIRE(card.at(x, y) == kBlack);
    }
  }

  TEST_CASE("the four corners differ, so a mirrored picture is told from a straight one") {
    const Raster card = draw_card(bar());
    const auto key = [&](int x, int y) {
      const Rgb c = card.at(x, y);
      return (c.red << 16) | (c.green << 8) | c.blue;
    };
    CHECK(std::set<int>{key(2, 362), key(1916, 362), key(2, 716), key(1916, 716)}.size() == 4);
  }

  TEST_CASE("the grey ramp rises without a step back and reaches both ends") {
    const Raster card = draw_card(bar());
    // by the layout: margin 1920/12 = 160, the ramp begins at 360 + 12 % of 360
    const int y = 360 + 43 + 5;
    CHECK(card.at(160, y) == kBlack);
    CHECK(card.at(1759, y) == kWhite);
    for (int x = 161; x < 1760; ++x) {
      CAPTURE(x);
      if (x > 780 && x < 1140) continue;  // the circle in the middle crosses it
      REQUIRE(card.at(x, y).red >= card.at(x - 1, y).red);
      REQUIRE(card.at(x, y).red - card.at(x - 1, y).red <= 1);
    }
  }

  TEST_CASE("on a round glass only the circle is seen, and its edge carries the ring") {
    const CardPlan plan = round_panel();
    const Raster seen = visible_part(draw_card(plan), plan);
    CHECK(seen.at(0, 0) == kBlack);
    CHECK(seen.at(479, 479) == kBlack);
    CHECK(seen.at(239, 0) == kWhite);
    CHECK(seen.at(0, 240) == kWhite);
    CHECK(seen.at(479, 239) == kWhite);
    CHECK(seen.at(240, 479) == kWhite);
  }

  TEST_CASE("a text is as wide as it says, and a letter without a glyph is a box") {
    CHECK(text_width("", 3) == 0);
    CHECK(text_width("A", 2) == 10);
    CHECK(text_width("AB", 1) == 11);
    Raster raster{40, 10};
    draw_text(raster, 1, 1, "I\x7f", 1, kWhite);
    CHECK(raster.at(3, 1) == kWhite);  // the stem of the I
    CHECK(raster.at(1, 2) == kBlack);
    for (int x = 7; x < 12; ++x) CHECK(raster.at(x, 1) == kWhite);  // the top of the box
    CHECK(raster.at(9, 4) == kBlack);
  }

  TEST_CASE("even the smallest and the oddest window draws without touching what is outside") {
    for (const int side : {1, 2, 3, 5, 17}) {
      CAPTURE(side);
      const CardPlan plan{32, 32, 8, 8, side, side, side % 2 == 0, "x"};
      const Raster card = draw_card(plan);
      CHECK(card.at(7, 7) == kBlack);
      CHECK(card.at(8 + side, 8 + side) == kBlack);
    }
  }
}
