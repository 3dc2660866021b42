#include "sim/eye/surface.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/eye/arriving_line.hpp"
#include "sim/eye/landing.hpp"
#include "sim/eye/sent.hpp"

namespace sim::eye {
namespace {

namespace card = host::signal::card;
using card::Raster;
using card::Rgb;

constexpr double kGreyLevel = 128;
constexpr double kNoContrast = 0.15;

Rgb mixed(Rgb one, Rgb other, double share) {
  const auto mix = [share](std::uint8_t a, std::uint8_t b) {
    return static_cast<std::uint8_t>(std::lround(a + (b - a) * share));
  };
  return {mix(one.red, other.red), mix(one.green, other.green), mix(one.blue, other.blue)};
}

Rgb relaxed(const Panel& panel) {
  return panel.shows_white ? card::kWhite : card::kBlack;
}

// Broad bars of the full colours, then greys: what a controller draws that is left alone with a clock.
Raster own_pattern(const Panel& panel) {
  Raster picture{panel.width, panel.height};
  constexpr int kBars = 8;
  for (int bar = 0; bar < kBars; ++bar) {
    const auto on = [bar](unsigned bit) {
      return static_cast<std::uint8_t>((static_cast<unsigned>(bar) >> bit & 1U) != 0 ? 255 : 0);
    };
    const int from = panel.width * bar / kBars, to = panel.width * (bar + 1) / kBars;
    picture.fill(from, 0, to - from, panel.height * 3 / 4, {on(1), on(2), on(0)});
    const auto grey = static_cast<std::uint8_t>(bar * 255 / (kBars - 1));
    picture.fill(from, panel.height * 3 / 4, to - from, panel.height - panel.height * 3 / 4,
                 {grey, grey, grey});
  }
  return picture;
}

// Driven lines through the link, each once, and only those that are looked at.
class Lines {
 public:
  explicit Lines(const Scene& scene)
      : scene_{scene},
        sent_{
            scaled(taken_as_rgb(drawn(scene), scene.source.form), scene.driven.columns, scene.driven.lines)},
        // A person who looks for long sees the worst of it.
        flips_{std::max(scene.wires.flips, scene.wires.flips_touched)},
        lines_(static_cast<std::size_t>(scene.driven.lines)) {}

  const std::vector<Rgb>& at(int y) {
    std::vector<Rgb>& line = lines_[static_cast<std::size_t>(y)];
    if (!line.empty()) return line;
    std::vector<Rgb> sent;
    sent.reserve(static_cast<std::size_t>(sent_.width()));
    for (int x = 0; x < sent_.width(); ++x) sent.push_back(sent_.at(x, y));
    line = carried(scene_, sent, flips_, surface_seed(y));
    return line;
  }

 private:
  const Scene& scene_;
  Raster sent_;
  double flips_;
  std::vector<std::vector<Rgb>> lines_;
};

Raster landed(const Scene& scene) {
  const Panel& panel = scene.panel;
  Lines lines{scene};
  const Landing at = landing(scene);
  Raster picture{panel.width, panel.height};
  for (int row = 0; row < panel.height; ++row) {
    for (int column = 0; column < panel.width; ++column) {
      const int across = scene.glass.reversed ? panel.width - 1 - column : column;
      const Spot from = spot(at, panel.x + across, panel.y + row);
      if (from.x < 0 || from.y < 0) continue;
      const std::vector<Rgb>& line = lines.at(from.y);
      if (static_cast<std::size_t>(from.x) < line.size()) {
        picture.set(column, row, line[static_cast<std::size_t>(from.x)]);
      }
    }
  }
  return picture;
}

// What the crystal makes of it: a column without a driver, contrast lost, an old picture, trails in the cold.
Raster answered(const Scene& scene, const Raster& driven) {
  const Panel& panel = scene.panel;
  const Glass& glass = scene.glass;
  constexpr double kTrailDegrees = 40;  // from the first trails to almost nothing but trails
  const double trail = std::clamp((-10 - glass.degrees) / kTrailDegrees, 0.0, 0.9);
  const int open = panel.width * 5 / 8;
  const int ghost_x = panel.width / 24, ghost_y = panel.height / 24;
  constexpr Rgb kGrey{128, 128, 128};
  Raster picture{panel.width, panel.height};
  for (int row = 0; row < panel.height; ++row) {
    Rgb before = driven.at(0, row);
    for (int column = 0; column < panel.width; ++column) {
      Rgb pixel = driven.at(column, row);
      if (column >= ghost_x && row >= ghost_y) {
        pixel = mixed(pixel, driven.at(column - ghost_x, row - ghost_y), glass.residue / 2);
      }
      pixel = mixed(pixel, before, trail > 0 ? 0.5 + trail / 2 : 0);
      before = pixel;
      pixel = mixed(kGrey, pixel, glass.bias);
      if (glass.line_open && column == open) pixel = relaxed(panel);
      picture.set(column, row, pixel);
    }
  }
  return picture;
}

}  // namespace

Raster surface(const Scene& scene) {
  const Panel& panel = scene.panel;
  const Glass& glass = scene.glass;
  if (!glass.running || glass.bias <= 0) return Raster{panel.width, panel.height, relaxed(panel)};
  const Arrival got = arrival(scene);
  if (got == Arrival::kNothing) return Raster{panel.width, panel.height, relaxed(panel)};
  if (glass.bias < kNoContrast) {
    constexpr auto kLevel = static_cast<std::uint8_t>(kGreyLevel);
    return Raster{panel.width, panel.height, {kLevel, kLevel, kLevel}};
  }
  if (got == Arrival::kOutside) return Raster{panel.width, panel.height};
  return answered(scene, got == Arrival::kUnframed ? own_pattern(panel) : landed(scene));
}

}  // namespace sim::eye
