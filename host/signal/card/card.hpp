#pragma once

#include <string>

#include "host/model/kit.hpp"
#include "host/signal/card/raster.hpp"

namespace host::signal::card {

/// What a card shows and where.
struct CardPlan {
  int raster_width = 0, raster_height = 0;  // what the source sends
  int x = 0, y = 0, width = 0, height = 0;  // the part of it that the panel shows
  bool round = false;                       // a circle is visible, not the whole rectangle
  std::string title;                        // kit and size
};

/// The plan for a kit: its panel's raster, window, shape and name. Precondition: the panel's window lies
/// inside its raster (the loader refuses anything else).
[[nodiscard]] CardPlan plan_card(const model::Kit& kit);

/// Draws the card a source sends: black outside the panel's window; inside it
///   a border one pixel wide, on the very edge, and marks in the corners (a cut or shifted picture loses
///   some), steps of grey and of each colour, every level of eight bits (folded or missing bits break the
///   ramp), columns alternately black and white, and a checker of single pixels (swapped channels, half a
///   pixel), a circle in the middle that is as high as it is wide in pixels (a squeezed picture bends it),
///   the title.
/// On a round panel the border is the largest circle that fits, and the marks stand where it meets the axes.
[[nodiscard]] Raster draw_card(const CardPlan& plan);

/// The part of a raster that the panel shows, with black where a round panel has no glass.
[[nodiscard]] Raster visible_part(const Raster& raster, const CardPlan& plan);

}  // namespace host::signal::card
