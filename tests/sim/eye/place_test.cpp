#include <doctest/doctest.h>

#include "sim/eye/landing.hpp"
#include "tests/sim/eye/scene_bench.hpp"

namespace eye = sim::eye;
using sim::fault::ColourForm;
using tests::sim::good_scene;
using tests::sim::seen_of;

TEST_SUITE("sim/eye/place") {
  TEST_CASE("a scan direction the other way round") {
    eye::Scene scene = good_scene();
    scene.glass.reversed = true;
    CHECK(seen_of(scene) == "picture: mirrored");
  }

  TEST_CASE("totals beyond the panel's limits: lines slip, frames run") {
    eye::Scene scene = good_scene();
    scene.driven.h_total = 778;  // two clocks short of 780; 61.7 Hz
    CHECK(seen_of(scene) == "picture: torn");
    CHECK(eye::landing(scene).slip == -1);  // of two, one: 640 / 400
    // The picture's first column of line 3 begins three further right.
    CHECK(eye::spot(eye::landing(scene), 3, 3).x == 0);
    CHECK(eye::spot(eye::landing(scene), 2, 3).x == -1);  // blanking
    scene = good_scene();
    scene.driven.v_total = 470;  // ten lines short of 480; 63.8 Hz
    CHECK(seen_of(scene) == "picture: rolling");
    scene = good_scene();
    scene.driven.hertz = 27e6;  // totals as they should be, 67.5 Hz
    CHECK(seen_of(scene) == "picture: rolling");
  }

  TEST_CASE("a clock beyond what the panel locks to: its controller shows black by itself") {
    eye::Scene scene = good_scene();
    scene.panel.shows_white = true;
    scene.driven.hertz = 29e6;
    CHECK(seen_of(scene) == "black-lit");
  }

  TEST_CASE("a raster that isn't the panel's") {
    eye::Scene scene = good_scene();
    scene.driven.columns = 700;  // 60 columns more than there is glass
    CHECK(seen_of(scene).starts_with("picture: cut"));
    scene.driven.columns = 560;  // 80 too few: black at the right
    CHECK(seen_of(scene).starts_with("picture: shifted"));
    scene.driven.columns = 320;
    CHECK(seen_of(scene).starts_with("picture: half"));
  }

  TEST_CASE("another source: stretched to the panel's raster") {
    eye::Scene scene = good_scene();
    scene.source.columns =
        320;  // both sides doubled: no side more than the other, and no fine column left whole
    scene.source.lines = 200;
    CHECK(seen_of(scene) == "picture: soft");
    scene.source.lines = 240;  // 4:3 to 16:10: one fifth wider than high
    CHECK(seen_of(scene) == "picture: soft squeezed");
    // What the kit itself wants so is no surprise.
    scene.source.wanted_columns = 320;
    scene.source.wanted_lines = 240;
    CHECK(seen_of(scene) == "picture");
  }

  TEST_CASE("another source on a panel that shows a part of its raster: the rest of it is lost") {
    eye::Scene scene = good_scene();
    scene.panel.y = 100;
    scene.panel.height = 200;
    CHECK(seen_of(scene) == "picture");
    scene.source.columns = 320;
    scene.source.lines = 200;
    CHECK(seen_of(scene) == "picture: cut soft");
  }

  // BT.709: grey has Cb = Cr = 128, so black is taken as (128, 16, 128), magenta, and white as (128, 235,
  // 128), green.
  TEST_CASE("pixels that are no rgb, taken as if they were") {
    eye::Scene scene = good_scene();
    scene.source.form = ColourForm::kYcbcr444;
    CHECK(seen_of(scene) == "picture: wrong-colours");
    // Red is Cb in one column and Cr in the next: stripes wherever they differ.
    scene.source.form = ColourForm::kYcbcr422;
    CHECK(seen_of(scene) == "picture: combed wrong-colours");
    scene.source.form = ColourForm::kYcbcr420;  // a pair of columns shows one pixel's colours
    CHECK(seen_of(scene) == "picture: doubled soft wrong-colours");
  }
}
