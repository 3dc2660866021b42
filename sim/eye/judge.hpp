#pragma once

#include <string_view>
#include <vector>

#include "host/signal/card/raster.hpp"

namespace sim::eye {

/// A line as it should be and as it came, equally long.
struct LinePair {
  std::vector<host::signal::card::Rgb> wanted, came;
};

/// Names what has become of a picture, by its pixels alone.
///
/// Colours are judged where three neighbours should be alike: what most pixels of one wanted colour became is
/// that colour's fate, which gives a curve for the greys and hues for the rest.
///
///   negative       a colour falls where grey rises (correlation below -1/2)
///   folded         its curve goes back by 3/10 of full scale or more on the way, in runs of 16 levels or
///   more posterised     fewer than 3/10 of the levels that the panel has low-range      no level above 6/10
///   of full scale washed-out     black is above 1/4 of full scale, or what is left of contrast is below 8/10
///   cast           greys have a tint, everywhere the same
///   wrong-colours  hues are off by 30 degrees or more, and no cast explains it; or greys turn several hues
///   combed         neighbouring columns have changed places, or fare differently
///   doubled        every second column is a copy of its neighbour
///   speckled, sparkle   pixels that fare otherwise than their like around them: more than 1 in 100, 1 in
///   5000
///
/// `channels` is how many columns in turn may fare differently (two at least are told apart), `levels` how
/// many levels of a colour the panel has. Returns   words in no order, each once. Source   the bounds are
/// common practice, no source; a hue is that of the HSV hexagon.
[[nodiscard]] std::vector<std::string_view> judged(const std::vector<LinePair>& lines, int channels,
                                                   int levels);

/// What every picture has somewhere, `columns` wide: greys and each colour by itself in all 256 levels, and
/// six mixtures, in blocks of eight pixels.
[[nodiscard]] host::signal::card::Raster chart(int columns);

/// Nothing but one tone: the least and the greatest level of any colour.
struct Tone {
  int least = 255, greatest = 0;
};
[[nodiscard]] Tone tone(const std::vector<LinePair>& lines);

}  // namespace sim::eye
