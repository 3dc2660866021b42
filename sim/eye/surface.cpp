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

// Every driven line through the link, once.
std::vector<std::vector<Rgb>> all_lines(const Scene& scene) {
  const Driven& driven = scene.driven;
  const Raster sent = scaled(taken_as_rgb(drawn(scene), scene.source.form), driven.columns, driven.lines);
  // A person who looks for long sees the worst of it.
  const double flips = std::max(scene.wires.flips, scene.wires.flips_touched);
  std::vector<std::vector<Rgb>> lines;
  lines.reserve(static_cast<std::size_t>(driven.lines));
  std::vector<Rgb> line(static_cast<std::size_t>(driven.columns));
  for (int y = 0; y < driven.lines; ++y) {
    for (int x = 0; x < driven.columns; ++x) line[static_cast<std::size_t>(x)] = sent.at(x, y);
    lines.push_back(carried(scene, line, flips, surface_seed(y)));
  }
  return lines;
}

Raster landed(const Scene& scene) {
  const Panel& panel = scene.panel;
  const auto lines = all_lines(scene);
  const Landing at = landing(scene);
  Raster picture{panel.width, panel.height};
  for (int row = 0; row < panel.height; ++row) {
    for (int column = 0; column < panel.width; ++column) {
      const int across = scene.glass.reversed ? panel.width - 1 - column : column;
      const Spot from = spot(at, panel.x + across, panel.y + row);
      if (from.x < 0 || from.y < 0) continue;
      const std::vector<Rgb>& line = lines[static_cast<std::size_t>(from.y)];
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
      const Rgb old = driven.at(std::max(column - ghost_x, 0), std::max(row - ghost_y, 0));
      pixel = mixed(pixel, old, glass.residue / 2);
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
