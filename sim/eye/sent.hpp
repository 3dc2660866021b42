#pragma once

#include "host/signal/card/raster.hpp"
#include "sim/eye/scene.hpp"

namespace sim::eye {

/// The source's picture in its own raster: the test card of the panel where the source sends the panel's
/// raster, else a card that fills the source's; black, or the board's words on black. Full range rgb.
[[nodiscard]] host::signal::card::Raster drawn(const Scene& scene);

/// What a board that takes every pixel as rgb makes of one in another form, as wide as it came.
///
/// ycbcr-444: red, green and blue show Cr, Y and Cb. ycbcr-422: green shows Y, red Cb and Cr in turn, blue
/// the low bits, of which eight-bit pixels have none. ycbcr-420: two pixels a clock, red and green show their
/// Y, blue Cb and Cr line by line; the half line is stretched. Source  ITU-R BT.709-6, 3.2 to 3.5 (Y, Cb, Cr,
/// 8 bits); CTA-861-H, 5.1 and HDMI 1.4b, 6.5 (which channel carries what).
[[nodiscard]] host::signal::card::Raster taken_as_rgb(const host::signal::card::Raster& picture,
                                                      fault::ColourForm form);

/// Stretched to another size, straight between pixel centres. The same size gives the same picture.
[[nodiscard]] host::signal::card::Raster scaled(const host::signal::card::Raster& picture, int columns,
                                                int lines);

}  // namespace sim::eye
