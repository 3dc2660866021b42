#include <doctest/doctest.h>

#include "tests/sim/eye/scene_bench.hpp"

// What wrong wires do to colours. Bits are those of the slot tables of Linux' devicetree binding of LVDS data
// mappings; in vesa-24 pair 0 carries G0 R5..R0, pair 1 B1 B0 G5..G1, pair 2 DE VS HS B5..B2, pair 3 the bits
// 7 and 6 of each colour. In jeida-24 the first three carry bits 7..2, pair 3 bits 1 and 0. An open input
// reads high.

namespace eye = sim::eye;
namespace signal = host::signal;
using host::model::Mapping;
using tests::sim::good_scene;
using tests::sim::seen_of;
using tests::sim::two_channels;

namespace {

eye::Scene with_open(int pair, Mapping mapping = Mapping::kVesa24) {
  eye::Scene scene = good_scene();
  scene.driven.mapping = scene.panel.mapping = mapping;
  scene.wires.path = signal::with_pair_open(scene.wires.path, 0, pair);
  return scene;
}

eye::Scene with_reversed(int pair, Mapping mapping = Mapping::kVesa24) {
  eye::Scene scene = good_scene();
  scene.driven.mapping = scene.panel.mapping = mapping;
  scene.wires.path = signal::with_pair_reversed(scene.wires.path, 0, pair);
  return scene;
}

}  // namespace

TEST_SUITE("sim/eye/wires") {
  TEST_CASE("straight wires show a picture with nothing odd about it, on one channel or two") {
    CHECK(seen_of(good_scene()) == "picture");
    CHECK(seen_of(two_channels()) == "picture");
    // 18 bits are 64 levels on a panel that has 64: nothing is missing.
    eye::Scene six = good_scene();
    six.driven.mapping = six.panel.mapping = Mapping::kRgb18;
    six.driven.bits = 6;
    CHECK(seen_of(six) == "picture");
  }

  TEST_CASE("an open pair: the bits it carries are ones") {
    // R = (r and 192) + 63: four levels, always above g and b: a red cast that keeps its direction.
    CHECK(seen_of(with_open(0)) == "picture: cast posterised");
    // Bits 7 and 6 are ones: 192 + (v mod 64): four rising pieces of 64 levels, each drop 63 of 255, three of
    // them in all: folded; the lowest level is 192 of 255: washed out. Hues of what lies in different
    // quarters go. 64 of 256 levels.
    CHECK(seen_of(with_open(3)) == "picture: folded posterised washed-out wrong-colours");
    // jeida-24: the two lowest bits are ones: 64 levels, and nothing else to be seen.
    CHECK(seen_of(with_open(3, Mapping::kJeida24)) == "picture: posterised");
    // No DE: high in the blanking too. A clock and no lines.
    CHECK(seen_of(with_open(2)) == "panel-pattern");
  }

  TEST_CASE("without a clock there is what the panel shows without data") {
    eye::Scene scene = good_scene();
    scene.wires.path.clock_open[0] = true;
    CHECK(seen_of(scene) == "black-lit");
    scene.panel.shows_white = true;
    CHECK(seen_of(scene) == "white");
  }

  TEST_CASE("a reversed pair: the bits it carries are inverted") {
    // jeida-24, pair 0: R7..R2 inverted: red falls from 252 to 3 where grey rises; dark greys are red, light
    // ones cyan. G2 inverted: green wavers by 4 levels, which nobody sees.
    CHECK(seen_of(with_reversed(0, Mapping::kJeida24)) == "picture: negative wrong-colours");
    // vesa-24, pair 3: bits 7 and 6 inverted, 192 - (v and 192) + (v mod 64): four pieces that rise, each
    // below the one before. All colours alike: grey stays grey, and a negative.
    CHECK(seen_of(with_reversed(3)) == "picture: negative wrong-colours");
    // DE inverted: the panel finds its lines in the blanking, and there is nothing there.
    CHECK(seen_of(with_reversed(2)) == "panel-pattern");
  }

  TEST_CASE("a mapping that isn't the panel's") {
    eye::Scene scene = good_scene();
    scene.panel.mapping = Mapping::kJeida24;
    // Driven vesa, taken as jeida: (v mod 64) x 4 + v / 64: a ramp that folds four times. Grey stays grey.
    CHECK(seen_of(scene) == "picture: folded wrong-colours");
    // The other way round: v / 4 + 64 x (v mod 4): every fourth level begins anew.
    scene.driven.mapping = Mapping::kJeida24;
    scene.panel.mapping = Mapping::kVesa24;
    CHECK(seen_of(scene) == "picture: folded wrong-colours");
    // 18 bits into a 24-bit vesa panel: nothing drives the pair its bits 7 and 6 stand on, and a fail-safe
    // input reads high: 192 + v / 4. Where an open input reads low: v / 4, the lowest quarter.
    scene.driven.mapping = Mapping::kRgb18;
    CHECK(seen_of(scene) == "picture: posterised washed-out");
    scene.wires.path.open_reads_high = false;
    CHECK(seen_of(scene) == "picture: low-range posterised");
    // 24 bits of jeida into an 18-bit panel: its three pairs carry the highest six bits. Right.
    scene.driven.mapping = Mapping::kJeida24;
    scene.panel.mapping = Mapping::kRgb18;
    CHECK(seen_of(scene) == "picture");
  }

  TEST_CASE("fewer bits than the panel has") {
    eye::Scene scene = good_scene();
    scene.driven.bits = 6;  // 64 levels of 256
    CHECK(seen_of(scene) == "picture: posterised");
    scene.driven.bits = 8;
    CHECK(seen_of(scene) == "picture");
  }

  TEST_CASE("channels exchanged, and a channel wired twice") {
    eye::Scene scene = two_channels();
    scene.wires.path = signal::with_channels_swapped(scene.wires.path, 0, 1);
    CHECK(seen_of(scene) == "picture: combed");
    // Both inputs on the first channel: every second column is its neighbour's.
    scene = two_channels();
    scene.wires.path.at[1] = scene.wires.path.at[0];
    CHECK(seen_of(scene) == "picture: doubled");
    // One channel has lost its lowest bits' pair: in every second column red has four levels.
    scene = two_channels();
    scene.wires.path = signal::with_pair_open(scene.wires.path, 1, 0);
    CHECK(seen_of(scene) == "picture: cast combed posterised");
  }

  TEST_CASE("two channels driven into a panel of one: it gets every second column") {
    eye::Scene scene = good_scene();
    scene.driven.channels = 2;
    scene.driven.hertz = 48e6;  // 24 MHz in its one channel, which it locks to; 400 clocks a line
    // 320 pixels in lines that are 400 clocks long where 780 is the least: its left half, half as wide, torn;
    // 120 frames a second.
    CHECK(seen_of(scene) == "picture: half rolling squeezed torn");
  }

  TEST_CASE("one channel driven into a panel of two: the second has no clock") {
    eye::Scene scene = two_channels();
    scene.driven.channels = 1;
    CHECK(seen_of(scene) == "black-lit");
  }

  TEST_CASE("bits that flip: few sparkle, many speckle, and none is noticed at rest") {
    eye::Scene scene = good_scene();
    scene.wires.flips = 1e-9;
    scene.wires.flips_touched = 1e-4;  // 24 bits: one pixel in 400
    CHECK(seen_of(scene) == "picture");
    CHECK(seen_of(scene, true) == "picture: sparkle");
    scene.wires.flips_touched = 4e-3;  // one in ten
    CHECK(seen_of(scene, true) == "picture: speckled");
  }

  TEST_CASE("lanes: all or nothing") {
    eye::Scene scene = good_scene();
    scene.wires.lanes = true;
    CHECK(seen_of(scene) == "picture");
    scene.wires.lanes_whole = false;
    CHECK(seen_of(scene) == "black-lit");
  }
}
