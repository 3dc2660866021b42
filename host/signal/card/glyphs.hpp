#pragma once

#include <string_view>

#include "host/signal/card/raster.hpp"

namespace host::signal::card {

inline constexpr int kGlyphWidth = 5;
inline constexpr int kGlyphHeight = 7;

/// Width in pixels of a text drawn at `scale`: six columns a character, the last one's gap left out.
[[nodiscard]] int text_width(std::string_view text, int scale);

/// Draws a text in capitals from its upper left corner. What has no glyph is drawn as a box.
void draw_text(Raster& raster, int x, int y, std::string_view text, int scale, Rgb colour);

}  // namespace host::signal::card
