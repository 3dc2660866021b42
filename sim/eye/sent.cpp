#include "sim/eye/sent.hpp"

#include <algorithm>
#include <cmath>

#include "host/signal/card/card.hpp"
#include "host/signal/card/glyphs.hpp"

namespace sim::eye {
namespace {

namespace card = host::signal::card;
using card::Raster;
using card::Rgb;
using fault::ColourForm;

struct Ycbcr {
  double y = 0, cb = 0, cr = 0;
};

Ycbcr ycbcr(Rgb pixel) {
  constexpr double kRed = 0.2126, kGreen = 0.7152, kBlue = 0.0722;
  const double r = pixel.red / 255.0, g = pixel.green / 255.0, b = pixel.blue / 255.0;
  const double y = kRed * r + kGreen * g + kBlue * b;
  return {16 + 219 * y, 128 + 224 * (b - y) / (2 * (1 - kBlue)), 128 + 224 * (r - y) / (2 * (1 - kRed))};
}

std::uint8_t octet(double value) {
  return static_cast<std::uint8_t>(std::clamp(std::lround(value), 0L, 255L));
}

Rgb in_444(const Raster& picture, int x, int y) {
  const Ycbcr pixel = ycbcr(picture.at(x, y));
  return {octet(pixel.cr), octet(pixel.y), octet(pixel.cb)};
}

Rgb in_422(const Raster& picture, int x, int y) {
  const Ycbcr pixel = ycbcr(picture.at(x, y));
  return {octet(x % 2 == 0 ? pixel.cb : pixel.cr), octet(pixel.y), 0};
}

Rgb in_420(const Raster& picture, int x, int y) {
  const int left = x / 2 * 2;
  const Ycbcr even = ycbcr(picture.at(left, y));
  const Ycbcr odd = ycbcr(picture.at(std::min(left + 1, picture.width() - 1), y));
  return {octet(odd.y), octet(even.y), octet(y % 2 == 0 ? even.cb : even.cr)};
}

Raster message(std::string_view words, int columns, int lines) {
  Raster picture{columns, lines};
  const int scale = std::max(1, columns / (4 * card::text_width(words, 1)));
  card::draw_text(picture, (columns - card::text_width(words, scale)) / 2,
                  (lines - card::kGlyphHeight * scale) / 2, words, scale, card::kWhite);
  return picture;
}

// Where a pixel of the larger or smaller picture lies in the other: its two neighbours and the share of the
// second.
struct Between {
  int first = 0, second = 0;
  double share = 0;
};
std::vector<Between> places(int from, int to) {
  std::vector<Between> places;
  places.reserve(static_cast<std::size_t>(to));
  for (int i = 0; i < to; ++i) {
    const double at = std::clamp((i + 0.5) * from / to - 0.5, 0.0, static_cast<double>(from - 1));
    const int first = static_cast<int>(at);
    places.push_back({first, std::min(first + 1, from - 1), at - first});
  }
  return places;
}

}  // namespace

Raster drawn(const Scene& scene) {
  const Source& source = scene.source;
  const Panel& panel = scene.panel;
  const int columns = std::max(source.columns, 1), lines = std::max(source.lines, 1);
  if (source.content == Content::kBlack) return Raster{columns, lines};
  if (source.content == Content::kMessage) return message(source.words, columns, lines);
  if (columns == panel.columns && lines == panel.lines) {
    return card::draw_card(
        {columns, lines, panel.x, panel.y, panel.width, panel.height, panel.round, panel.title});
  }
  return card::draw_card({columns, lines, 0, 0, columns, lines, false, panel.title});
}

Raster taken_as_rgb(const Raster& picture, ColourForm form) {
  if (form == ColourForm::kRgb) return picture;
  Raster taken{picture.width(), picture.height()};
  for (int y = 0; y < picture.height(); ++y) {
    for (int x = 0; x < picture.width(); ++x) {
      taken.set(x, y,
                form == ColourForm::kYcbcr444   ? in_444(picture, x, y)
                : form == ColourForm::kYcbcr422 ? in_422(picture, x, y)
                                                : in_420(picture, x, y));
    }
  }
  return taken;
}

Raster scaled(const Raster& picture, int columns, int lines) {
  if (picture.width() == columns && picture.height() == lines) return picture;
  const std::vector<Between> across = places(picture.width(), columns);
  const std::vector<Between> down = places(picture.height(), lines);
  Raster result{columns, lines};
  for (int y = 0; y < lines; ++y) {
    const Between& row = down[static_cast<std::size_t>(y)];
    for (int x = 0; x < columns; ++x) {
      const Between& column = across[static_cast<std::size_t>(x)];
      const Rgb a = picture.at(column.first, row.first), b = picture.at(column.second, row.first);
      const Rgb c = picture.at(column.first, row.second), d = picture.at(column.second, row.second);
      const auto mixed = [&](std::uint8_t Rgb::* of) {
        const double above = a.*of + (b.*of - a.*of) * column.share;
        const double below = c.*of + (d.*of - c.*of) * column.share;
        return octet(above + (below - above) * row.share);
      };
      result.set(x, y, {mixed(&Rgb::red), mixed(&Rgb::green), mixed(&Rgb::blue)});
    }
  }
  return result;
}

}  // namespace sim::eye
