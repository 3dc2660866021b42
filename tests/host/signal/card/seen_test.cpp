#include "host/signal/card/seen.hpp"

#include <doctest/doctest.h>

using namespace host::signal::card;
using host::model::Mapping;
using host::model::Unlit;

namespace {

// A raster of 256 columns: column v has red v, green 255 - v, blue v / 2.
Raster ramp(int height = 2) {
  Raster raster{256, height};
  for (int y = 0; y < height; ++y) {
    for (int v = 0; v < 256; ++v) {
      raster.set(v, y,
                 {static_cast<std::uint8_t>(v), static_cast<std::uint8_t>(255 - v),
                  static_cast<std::uint8_t>(v / 2)});
    }
  }
  return raster;
}

CardPlan whole(const Raster& raster) {
  return {raster.width(), raster.height(), 0, 0, raster.width(), raster.height(), false, ""};
}

LinkView view_of(Mapping mapping, int channels) {
  LinkView view;
  view.driven = view.received = mapping;
  view.path = host::signal::straight_path(channels);
  view.bits_used = host::model::bits_per_pixel(mapping) / 3;
  return view;
}

Raster seen_with(const LinkView& view, const char* fault) {
  const Raster raster = ramp();
  const auto faulty = with_fault(view, fault);
  REQUIRE_MESSAGE(faulty.has_value(), (faulty ? "" : faulty.error()));
  return as_seen(raster, whole(raster), *faulty, Unlit::kBlack);
}

}  // namespace

TEST_SUITE("host/signal/card") {
  TEST_CASE("a healthy link of eight bits changes no pixel") {
    const Raster raster = ramp();
    for (const Mapping mapping : {Mapping::kVesa24, Mapping::kJeida24, Mapping::kVesa30, Mapping::kJeida30}) {
      for (const int channels : {1, 2, 4}) {
        const Raster seen = as_seen(raster, whole(raster), view_of(mapping, channels), Unlit::kBlack);
        for (int x = 0; x < 256; ++x) REQUIRE(seen.at(x, 1) == raster.at(x, 1));
      }
    }
  }

  // A receiver of jeida-24 fed with vesa-24 makes ((v mod 64) x 4) + (v div 64) of every colour; the other
  // way round it is (v div 4) + 64 x (v mod 4). By the published slot tables, worked out by hand.
  TEST_CASE("the wrong bit mapping folds a ramp as the slot tables say") {
    const Raster jeida_panel = seen_with(view_of(Mapping::kJeida24, 1), "mapping=vesa-24");
    const Raster vesa_panel = seen_with(view_of(Mapping::kVesa24, 1), "mapping=jeida-24");
    for (int v = 0; v < 256; ++v) {
      CAPTURE(v);
      REQUIRE(jeida_panel.at(v, 0).red == (v % 64) * 4 + v / 64);
      REQUIRE(vesa_panel.at(v, 0).red == v / 4 + 64 * (v % 4));
      REQUIRE(vesa_panel.at(v, 0).green == (255 - v) / 4 + 64 * ((255 - v) % 4));
    }
  }

  TEST_CASE("swapped channels exchange neighbouring columns and nothing else") {
    const Raster raster = ramp();
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 2), "channels-swapped");
    for (int x = 0; x < 256; x += 2) {
      REQUIRE(seen.at(x, 0) == raster.at(x + 1, 0));
      REQUIRE(seen.at(x + 1, 0) == raster.at(x, 0));
    }
  }

  TEST_CASE("six bits of eight leave 64 levels") {
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 1), "bits=6");
    for (int v = 0; v < 256; ++v) REQUIRE(seen.at(v, 0).red == (v / 4) * 4);
  }

  TEST_CASE("a reversed pair inverts just the bits it carries") {
    // Pair 3 of vesa-24 carries bits 7 and 6 of each colour; slot 0 of it is empty.
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 1), "pair-reversed=3");
    for (int v = 0; v < 256; ++v) REQUIRE(seen.at(v, 0).red == (v ^ 0xC0));
  }

  TEST_CASE("an open pair gives every bit it carried one level") {
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 1), "pair-open=3");
    for (int v = 0; v < 256; ++v) REQUIRE(seen.at(v, 0).red == (v | 0xC0));
  }

  TEST_CASE("pairs of the second channel touch every other column only") {
    const Raster raster = ramp();
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 2), "pair-reversed=7");
    for (int x = 0; x < 256; x += 2) {
      REQUIRE(seen.at(x, 0) == raster.at(x, 0));
      REQUIRE(seen.at(x + 1, 0).red == (raster.at(x + 1, 0).red ^ 0xC0));
    }
  }

  TEST_CASE("without a clock the panel shows what it shows without data") {
    const Raster raster = ramp();
    const auto view = with_fault(view_of(Mapping::kVesa24, 1), "pair-open=clock");
    REQUIRE(view.has_value());
    CHECK(as_seen(raster, whole(raster), *view, Unlit::kWhite).at(10, 0) == kWhite);
    CHECK(as_seen(raster, whole(raster), *view, Unlit::kBlack).at(10, 0) == kBlack);
  }

  TEST_CASE("a shifted picture loses what slides out and shows black where nothing was sent") {
    const Raster seen = seen_with(view_of(Mapping::kVesa24, 1), "shifted=10,1");
    const Raster raster = ramp();
    CHECK(seen.at(0, 0) == raster.at(10, 1));
    CHECK(seen.at(250, 0) == kBlack);
    CHECK(seen.at(0, 1) == kBlack);
  }

  TEST_CASE("a fault that makes no sense is refused with what would be right") {
    const LinkView view = view_of(Mapping::kVesa24, 1);
    for (const char* fault : {"", "mapping", "mapping=rgb", "bits=0", "bits=9", "bits=x", "pair-open=4",
                              "pair-open=-1", "pair-reversed=99999999999", "channels-swapped",
                              "shifted=", "shifted=1,", "shifted=1,2,3", "shifted=99999,0", "folded"}) {
      CAPTURE(fault);
      const auto result = with_fault(view, fault);
      REQUIRE_FALSE(result.has_value());
      CHECK(result.error().size() > 10);
    }
  }
}
