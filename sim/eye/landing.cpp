#include "sim/eye/landing.hpp"

#include <algorithm>
#include <cmath>

#include "sim/eye/arriving_line.hpp"
#include "sim/eye/sent.hpp"

namespace sim::eye {
namespace {

namespace card = host::signal::card;
namespace model = host::model;

constexpr int kSlipsAtMost = 400;  // of a line's columns: a controller follows most of the way
constexpr double kHalf = 0.6, kFills = 0.97;
constexpr double kSqueezed = 0.02;
constexpr double kSoft = 0.9;

// How far a number lies outside, by its sign.
template <typename Q>
int outside(const model::Bounds<Q>& bounds, std::int64_t count) {
  if (bounds.min && count < bounds.min->count) return static_cast<int>(count - bounds.min->count);
  if (bounds.max && count > bounds.max->count) return static_cast<int>(count - bounds.max->count);
  return 0;
}

// Contrast of columns that are white and black in turn, stretched from one width to another: 0..1, on the
// mean of the line.
double fine_contrast(int from, int to) {
  if (from == to || from < 2 || to < 2) return 1;
  card::Raster columns{from, 1};
  for (int x = 0; x < from; x += 2) columns.set(x, 0, card::kWhite);
  const card::Raster stretched = scaled(columns, to, 1);
  double off_grey = 0;
  constexpr double kGrey = 127.5;
  for (int x = 0; x < to; ++x) off_grey += std::abs(stretched.at(x, 0).red - kGrey) / kGrey;
  return off_grey / to;
}

// Width over height of what was square at the source.
double stretch(int columns, int lines, const Scene& scene) {
  const double across = static_cast<double>(scene.driven.columns) / std::max(columns, 1);
  const double down = static_cast<double>(scene.driven.lines) / std::max(lines, 1);
  return across / down;
}

bool softened(const Scene& scene) {
  const Source& source = scene.source;
  const int reaching = source.form == fault::ColourForm::kYcbcr420 ? source.columns / 2 : source.columns;
  const double now =
      fine_contrast(reaching, scene.driven.columns) * fine_contrast(source.lines, scene.driven.lines);
  const double wanted = fine_contrast(source.wanted_columns, scene.panel.columns) *
                        fine_contrast(source.wanted_lines, scene.panel.lines);
  return now < kSoft * wanted;
}

}  // namespace

Landing landing(const Scene& scene) {
  const Driven& driven = scene.driven;
  Landing landing;
  landing.columns = reaching_columns(scene, driven.columns);
  landing.lines = driven.lines;
  landing.h_total = std::max(reaching_columns(scene, driven.h_total), landing.columns + 1);
  landing.v_total = std::max(driven.v_total, landing.lines + 1);
  const int off = outside(scene.panel.h_total, reaching_columns(scene, driven.h_total));
  const int most = std::max(landing.columns / kSlipsAtMost, 1);
  landing.slip = std::clamp(off, -most, most);
  const bool frames_lost = outside(scene.panel.v_total, driven.v_total) != 0 ||
                           outside(scene.panel.refresh, std::llround(driven.refresh_hz() * 1'000)) != 0;
  if (frames_lost) landing.roll = landing.v_total / 3;
  return landing;
}

Spot spot(const Landing& landing, int x, int y) {
  const auto wrapped = [](std::int64_t value, int total) {
    const std::int64_t rest = value % total;
    return static_cast<int>(rest < 0 ? rest + total : rest);
  };
  Spot at{x, y};
  if (landing.slip != 0) at.x = wrapped(x + std::int64_t{landing.slip} * y, landing.h_total);
  if (landing.roll != 0) at.y = wrapped(std::int64_t{y} + landing.roll, landing.v_total);
  if (at.x >= landing.columns || at.y >= landing.lines) return {};
  return at;
}

std::vector<std::string_view> misplaced(const Scene& scene) {
  std::vector<std::string_view> words;
  const Landing at = landing(scene);
  const Panel& panel = scene.panel;
  if (at.slip != 0) words.emplace_back("torn");
  if (at.roll != 0) words.emplace_back("rolling");
  const double across = static_cast<double>(at.columns) / std::max(panel.columns, 1);
  const double down = static_cast<double>(at.lines) / std::max(panel.lines, 1);
  if (across <= kHalf || down <= kHalf) {
    words.emplace_back("half");
  } else if (across < kFills || down < kFills) {
    words.emplace_back("shifted");
  }
  const bool as_wanted = scene.source.columns == panel.columns && scene.source.lines == panel.lines;
  const bool window = panel.width < panel.columns || panel.height < panel.lines;
  const bool cropped = scene.source.content == Content::kCard && window && !as_wanted &&
                       (scene.source.columns != scene.source.wanted_columns ||
                        scene.source.lines != scene.source.wanted_lines);
  if (at.columns > panel.columns || at.lines > panel.lines || cropped) words.emplace_back("cut");
  const double narrower = static_cast<double>(at.columns) / std::max(scene.driven.columns, 1);
  const double was = static_cast<double>(panel.columns) / std::max(scene.source.wanted_columns, 1) /
                     (static_cast<double>(panel.lines) / std::max(scene.source.wanted_lines, 1));
  const double is = narrower * stretch(scene.source.columns, scene.source.lines, scene);
  if (std::abs(is / was - 1) > kSqueezed) words.emplace_back("squeezed");
  if (softened(scene)) words.emplace_back("soft");
  if (scene.glass.reversed) words.emplace_back("mirrored");
  return words;
}

}  // namespace sim::eye
