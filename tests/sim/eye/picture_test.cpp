#include <doctest/doctest.h>

#include "host/signal/card/card.hpp"
#include "tests/sim/eye/scene_bench.hpp"

namespace card = host::signal::card;
namespace eye = sim::eye;
using card::Raster;
using card::Rgb;
using tests::sim::good_scene;

namespace {

// Through black glass comes a thousandth of the light: 255 x 0.001^(1/2.2) = 11.03.
constexpr int kLeak = 11;

Raster card_of(const eye::Scene& scene) {
  const eye::Panel& panel = scene.panel;
  return card::draw_card(
      {panel.columns, panel.lines, panel.x, panel.y, panel.width, panel.height, panel.round, panel.title});
}

std::uint8_t leaked(std::uint8_t level) {
  return level < kLeak ? std::uint8_t{kLeak} : level;
}

}  // namespace

TEST_SUITE("sim/eye/picture") {
  TEST_CASE("a good unit shows the card as it was sent, black as bright as its glass lets through") {
    const eye::Scene scene = good_scene();
    const Raster seen = eye::picture(scene), sent = card_of(scene);
    REQUIRE(seen.width() == 640);
    REQUIRE(seen.height() == 400);
    int wrong = 0;
    for (int y = 0; y < 400; ++y) {
      for (int x = 0; x < 640; ++x) {
        const Rgb was = sent.at(x, y);
        if (!(seen.at(x, y) == Rgb{leaked(was.red), leaked(was.green), leaked(was.blue)})) ++wrong;
      }
    }
    CHECK(wrong == 0);
  }

  TEST_CASE("the panel's window is cut out of its raster") {
    eye::Scene scene = good_scene();
    scene.panel.y = 100;
    scene.panel.height = 200;
    const Raster seen = eye::picture(scene);
    CHECK(seen.height() == 200);
    CHECK(seen.at(0, 0) == card::kWhite);  // the border on its very edge
    CHECK(seen.at(639, 199) == card::kWhite);
  }

  TEST_CASE("no light: black, or by torch a twelfth of a picture") {
    eye::Scene scene = good_scene();
    scene.light.lit = false;
    CHECK(eye::picture(scene).at(0, 0) == Rgb{20, 20, 20});  // 255 x 0.08
    scene.data = false;
    CHECK(eye::picture(scene) == Raster{640, 400});
  }

  TEST_CASE("a quarter of the light is 0.53 of a level, and no level is above white") {
    eye::Scene scene = good_scene();
    scene.light.share = 0.2;
    CHECK(eye::picture(scene).at(0, 0) == Rgb{136, 136, 136});  // 255 x 0.25^(1/2.2)
    scene.light.share = 1;
    CHECK(eye::picture(scene).at(0, 0) == card::kWhite);
  }

  TEST_CASE("scanned from the other side, left is right") {
    eye::Scene scene = good_scene();
    const Raster straight = eye::picture(scene);
    scene.glass.reversed = true;
    const Raster mirrored = eye::picture(scene);
    int wrong = 0;
    for (int y = 0; y < 400; ++y) {
      for (int x = 0; x < 640; ++x) wrong += straight.at(x, y) == mirrored.at(639 - x, y) ? 0 : 1;
    }
    CHECK(wrong == 0);
  }

  TEST_CASE("an open column is relaxed glass from top to bottom, and nothing else is") {
    eye::Scene scene = good_scene();
    scene.panel.shows_white = true;
    const Raster whole = eye::picture(scene);
    scene.glass.line_open = true;
    const Raster seen = eye::picture(scene);
    int columns = 0;
    for (int x = 0; x < 640; ++x) {
      int other = 0, white = 0;
      for (int y = 0; y < 400; ++y) {
        other += seen.at(x, y) == whole.at(x, y) ? 0 : 1;
        white += seen.at(x, y) == card::kWhite ? 1 : 0;
      }
      if (other == 0) continue;
      ++columns;
      CHECK(white == 400);
    }
    CHECK(columns == 1);
  }

  TEST_CASE("one string of four dark: the first quarter is dim, the last as ever") {
    eye::Scene scene = good_scene();
    const Raster whole = eye::picture(scene);
    scene.light.strings_dark = 1;
    const Raster seen = eye::picture(scene);
    CHECK(seen.at(0, 0).red == 108);  // 255 x 0.15^(1/2.2)
    CHECK(seen.at(639, 0) == whole.at(639, 0));
  }

  TEST_CASE("the words and the picture are of the same pixels: a red cast is red in both") {
    eye::Scene scene = good_scene();
    scene.wires.path = host::signal::with_pair_open(scene.wires.path, 0, 0);
    const Raster seen = eye::picture(scene);
    // The card's ground is 32 of each: red (32 and 192) + 63, G0 is a one.
    CHECK(seen.at(20, 200) == Rgb{63, 33, 32});
  }

  TEST_CASE("a round glass has nothing outside its circle") {
    eye::Scene scene = good_scene();
    scene.panel.x = 120;
    scene.panel.width = 400;
    scene.panel.round = true;
    const Raster seen = eye::picture(scene);
    CHECK(seen.at(0, 0) == card::kBlack);
    CHECK(seen.at(200, 0) == card::kWhite);  // its ring
  }

  TEST_CASE("the same scene gives the same picture, flipped bits and all") {
    eye::Scene scene = good_scene();
    scene.wires.flips_touched = 1e-3;
    CHECK(eye::picture(scene) == eye::picture(scene));
    CHECK_FALSE(eye::picture(scene) == eye::picture(good_scene()));
  }
}
