#include <doctest/doctest.h>

#include "tests/sim/eye/scene_bench.hpp"

namespace eye = sim::eye;
using tests::sim::good_scene;
using tests::sim::seen_of;

namespace {

// 21 settings from 0 to 100 %.
std::vector<double> knob(double from, double to) {
  std::vector<double> shares;
  for (int i = 0; i <= 20; ++i) shares.push_back(from + (to - from) * i / 20);
  return shares;
}

}  // namespace

TEST_SUITE("sim/eye/light") {
  TEST_CASE("without light: a picture, a message or a pattern by torch, else dark") {
    eye::Scene scene = good_scene();
    scene.light.lit = false;
    CHECK(seen_of(scene) == "dark-image");
    scene.source.content = eye::Content::kMessage;
    CHECK(seen_of(scene) == "dark-image");
    scene.source.content = eye::Content::kBlack;
    CHECK(seen_of(scene) == "dark");
    scene = good_scene();
    scene.light.lit = false;
    scene.data = false;
    CHECK(seen_of(scene) == "dark");
    scene.panel.shows_white = true;  // white glass with nothing behind it
    CHECK(seen_of(scene) == "dark");
    scene = good_scene();
    scene.light.share = 0;  // lit, and turned down to nothing
    CHECK(seen_of(scene) == "dark-image");
  }

  TEST_CASE("what there is to see with light") {
    eye::Scene scene = good_scene();
    scene.source.content = eye::Content::kMessage;
    CHECK(seen_of(scene) == "message");
    scene.source.content = eye::Content::kBlack;
    CHECK(seen_of(scene) == "black-lit");
    scene = good_scene();
    scene.glass.running = false;
    CHECK(seen_of(scene) == "black-lit");
    scene.panel.shows_white = true;
    CHECK(seen_of(scene) == "white");
    scene = good_scene();
    scene.glass.bias = 0;  // relaxed
    CHECK(seen_of(scene) == "black-lit");
    scene.glass.bias = 0.1;  // a tenth of the contrast
    CHECK(seen_of(scene) == "grey");
    scene.glass.bias = 0.6;
    CHECK(seen_of(scene) == "picture: washed-out");
  }

  TEST_CASE("dim below 0.7 of what is wanted, glaring above 1.2") {
    eye::Scene scene = good_scene();
    scene.light.share = 0.57;  // 0.7125
    CHECK(seen_of(scene) == "picture");
    scene.light.share = 0.55;  // 0.6875
    CHECK(seen_of(scene) == "picture: dim");
    scene.light.share = 0.95;  // 1.1875
    CHECK(seen_of(scene) == "picture");
    scene.light.share = 1;  // 1.25
    CHECK(seen_of(scene) == "picture: glaring");
  }

  TEST_CASE("a dark string of four, and lamps at their end") {
    eye::Scene scene = good_scene();
    scene.light.strings_dark = 1;
    CHECK(seen_of(scene) == "picture: partly-lit");
    scene = good_scene();
    scene.light.lamp = 0.6;
    CHECK(seen_of(scene) == "picture: dim reddish-light");
  }

  // IEEE 1789-2015, 8.1.1: below 90 Hz no modulation above 5 % is without risk; pulses modulate by 100 %.
  TEST_CASE("pulses below 90 Hz flicker, but for a light that is never off") {
    eye::Scene scene = good_scene();
    scene.light.hertz = 90;
    CHECK(seen_of(scene) == "picture");
    scene.light.hertz = 89;
    CHECK(seen_of(scene) == "picture: flicker");
    scene.light.duty = 1;
    CHECK(seen_of(scene) == "picture");
    scene.light.duty = 0.8;
    scene.light.hertz = 0;  // dimmed by a voltage
    CHECK(seen_of(scene) == "picture");
  }

  TEST_CASE("brightness turned up and down") {
    eye::Scene scene = good_scene();
    scene.light.knob = knob(0.1, 0.9);
    CHECK(seen_of(scene) == "picture");
    scene.light.knob = knob(0.9, 0.1);
    CHECK(seen_of(scene) == "picture: brightness-reversed");
    scene.light.knob = knob(0.4, 0.4);  // stuck: neither
    CHECK(seen_of(scene) == "picture");
    scene.light.knob = knob(0.1, 0.9);
    for (std::size_t i = 0; i < 8; ++i) scene.light.knob[i] = 0;  // short pulses lost: from nothing to 0.42
    CHECK(seen_of(scene) == "picture: brightness-jumps");
  }

  TEST_CASE("a picture on the glass: an open column, the cold, and what was there before") {
    eye::Scene scene = good_scene();
    scene.glass.line_open = true;
    CHECK(seen_of(scene) == "picture: line");
    scene = good_scene();
    scene.glass.degrees = -20;
    CHECK(seen_of(scene) == "picture: smeared");
    scene = good_scene();
    scene.glass.residue = 0.15;
    CHECK(seen_of(scene) == "picture");
    scene.glass.residue = 0.2;
    CHECK(seen_of(scene) == "picture: ghost");
  }
}
