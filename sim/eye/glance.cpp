#include "sim/eye/glance.hpp"

#include <algorithm>

#include "sim/eye/arriving_line.hpp"
#include "sim/eye/judge.hpp"
#include "sim/eye/landing.hpp"
#include "sim/eye/lighting.hpp"
#include "sim/eye/sent.hpp"
#include "sim/eye/surface.hpp"

namespace sim::eye {
namespace {

namespace card = host::signal::card;
using card::Raster;
using card::Rgb;

constexpr int kLinesLooked = 96;  // of the card, evenly: enough for every band of it
constexpr double kNoContrast = 0.15, kFullContrast = 0.8;
constexpr double kGhost = 0.15;
constexpr double kSmearsBelow = -10;  // °C: the crystal's answer takes longer than a frame
constexpr int kBlackBelow = 16, kWhiteAbove = 239;

std::vector<Rgb> line_of(const Raster& picture, int y, int x, int width) {
  std::vector<Rgb> line;
  line.reserve(static_cast<std::size_t>(width));
  for (int column = x; column < x + width; ++column) line.push_back(picture.at(column, y));
  return line;
}

// A part of whole cycles of the link, so that no channel is out of step with the panel's columns.
struct Part {
  int x = 0, width = 0;
};
Part in_step(int x, int width, int channels, int columns) {
  const int from = std::clamp(x / channels * channels, 0, columns);
  return {from, std::min(width, columns - from) / channels * channels};
}

void look_through(const Scene& scene, const Raster& wanted, const Raster& sent, const Part& part, int first,
                  int end, int step, double flips, std::vector<LinePair>& lines) {
  for (int y = first; y < end; y += step) {
    lines.push_back({reaching(scene, line_of(wanted, y, part.x, part.width)),
                     carried(scene, line_of(sent, y, part.x, part.width), flips, surface_seed(y))});
  }
}

std::vector<LinePair> looked_at(const Scene& scene, bool touched) {
  const Driven& driven = scene.driven;
  const Panel& panel = scene.panel;
  const double flips = touched ? scene.wires.flips_touched : scene.wires.flips;
  std::vector<LinePair> lines;
  const Raster card = drawn(scene);
  const Raster wanted = scaled(card, driven.columns, driven.lines);
  const Raster sent = scaled(taken_as_rgb(card, scene.source.form), driven.columns, driven.lines);
  const Part part = in_step(panel.x, panel.width, driven.channels, driven.columns);
  const int first = std::min(panel.y, driven.lines - 1), end = std::min(panel.y + panel.height, driven.lines);
  look_through(scene, wanted, sent, part, first, end, std::max(1, (end - first) / kLinesLooked), flips,
               lines);
  if (scene.source.content != Content::kCard) return lines;
  const Raster colours = chart(driven.columns);
  const Part all = in_step(0, driven.columns, driven.channels, driven.columns);
  look_through(scene, colours, taken_as_rgb(colours, scene.source.form), all, 0, colours.height(), 1, flips,
               lines);
  return lines;
}

std::string_view relaxed(const Panel& panel) {
  return panel.shows_white ? "white" : "black-lit";
}

Shown shown_picture(const Scene& scene, bool touched) {
  const std::vector<LinePair> lines = looked_at(scene, touched);
  const Tone all = tone(lines);
  if (all.greatest < kBlackBelow) return {"black-lit", {}};
  if (all.least > kWhiteAbove) return {"white", {}};
  if (all.greatest - all.least < kBlackBelow) return {"grey", {}};
  if (scene.source.content == Content::kMessage) return {"message", {}};
  Shown shown{"picture", misplaced(scene)};
  const int levels = 1 << std::min(8, host::model::bits_per_pixel(scene.panel.mapping) / 3);
  const auto words = judged(lines, scene.panel.channels, levels);
  shown.look.insert(shown.look.end(), words.begin(), words.end());
  if (scene.glass.bias < kFullContrast) shown.look.emplace_back("washed-out");
  if (scene.glass.line_open) shown.look.emplace_back("line");
  if (scene.glass.residue > kGhost) shown.look.emplace_back("ghost");
  if (scene.glass.degrees < kSmearsBelow) shown.look.emplace_back("smeared");
  return shown;
}

}  // namespace

Shown shown(const Scene& scene, bool touched) {
  if (!scene.glass.running || scene.glass.bias <= 0) return {relaxed(scene.panel), {}};
  const Arrival got = arrival(scene);
  if (got == Arrival::kNothing) return {relaxed(scene.panel), {}};
  if (scene.glass.bias < kNoContrast) return {"grey", {}};
  if (got == Arrival::kOutside) return {"black-lit", {}};
  if (got == Arrival::kUnframed) return {"panel-pattern", {}};
  return shown_picture(scene, touched);
}

Glance combined(const Shown& shown, const Light& light) {
  constexpr double kDarkBelow = 0.005;  // of full: less is no light
  const bool image =
      shown.screen == "picture" || shown.screen == "message" || shown.screen == "panel-pattern";
  Glance glance;
  if (luminance(light) < kDarkBelow) {
    glance.screen = image ? "dark-image" : "dark";
    return glance;
  }
  glance.screen = shown.screen;
  glance.look.assign(shown.look.begin(), shown.look.end());
  if (shown.screen != "black-lit") {
    for (const std::string_view word : odd_light(light)) glance.look.emplace_back(word);
  }
  std::sort(glance.look.begin(), glance.look.end());
  glance.look.erase(std::unique(glance.look.begin(), glance.look.end()), glance.look.end());
  return glance;
}

Glance glance(const Scene& scene, bool touched) {
  return combined(shown(scene, touched), scene.light);
}

}  // namespace sim::eye
