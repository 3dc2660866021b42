#include "host/signal/card/card.hpp"

#include <algorithm>
#include <cstdint>
#include <string>

#include "host/signal/card/glyphs.hpp"

namespace host::signal::card {
namespace {

constexpr Rgb kGround{32, 32, 32};
constexpr Rgb kRed{255, 0, 0};
constexpr Rgb kGreen{0, 255, 0};
constexpr Rgb kBlue{0, 0, 255};

struct Box {
  int x = 0, y = 0, width = 0, height = 0;
};

std::uint8_t level_at(int column, int width) {
  return static_cast<std::uint8_t>(width <= 1 ? 255 : column * 255 / (width - 1));
}

void draw_border(Raster& raster, const Box& box) {
  raster.fill(box.x, box.y, box.width, 1, kWhite);
  raster.fill(box.x, box.y + box.height - 1, box.width, 1, kWhite);
  raster.fill(box.x, box.y, 1, box.height, kWhite);
  raster.fill(box.x + box.width - 1, box.y, 1, box.height, kWhite);
}

// Corners differ in colour, so that a mirrored picture is told from a straight one.
void draw_corners(Raster& raster, const Box& box) {
  const int size = std::max(4, std::min(box.width, box.height) / 16);
  const int right = box.x + box.width - 1 - size;
  const int bottom = box.y + box.height - 1 - size;
  raster.fill(box.x + 1, box.y + 1, size, size, kRed);
  raster.fill(right, box.y + 1, size, size, kGreen);
  raster.fill(box.x + 1, bottom, size, size, kBlue);
  raster.fill(right, bottom, size, size, kWhite);
}

// A ring one pixel wide, by the midpoint of each pixel: |distance - radius| <= 1/2.
void draw_ring(Raster& raster, const Box& box) {
  const std::int64_t diameter = std::min(box.width, box.height);
  const std::int64_t centre_x = 2LL * box.x + box.width - 1;  // twice the coordinates, so that they are whole
  const std::int64_t centre_y = 2LL * box.y + box.height - 1;
  const std::int64_t outer = diameter;  // twice the radius, and a pixel
  const std::int64_t inner = diameter - 2;
  for (int y = box.y; y < box.y + box.height; ++y) {
    for (int x = box.x; x < box.x + box.width; ++x) {
      const std::int64_t dx = 2LL * x - centre_x;
      const std::int64_t dy = 2LL * y - centre_y;
      const std::int64_t square = dx * dx + dy * dy;
      if (square <= outer * outer && square > inner * inner) raster.set(x, y, kWhite);
    }
  }
}

void draw_ramps(Raster& raster, const Box& box) {
  const int band = box.height / 4;
  for (int column = 0; column < box.width; ++column) {
    const std::uint8_t level = level_at(column, box.width);
    const int x = box.x + column;
    raster.fill(x, box.y, 1, band, Rgb{level, level, level});
    raster.fill(x, box.y + band, 1, band, Rgb{level, 0, 0});
    raster.fill(x, box.y + 2 * band, 1, band, Rgb{0, level, 0});
    raster.fill(x, box.y + 3 * band, 1, box.height - 3 * band, Rgb{0, 0, level});
  }
}

void draw_fine_patterns(Raster& raster, const Box& box) {
  const int half = box.width / 2;
  for (int row = 0; row < box.height; ++row) {
    for (int column = 0; column < box.width; ++column) {
      const bool lit = column < half ? column % 2 == 0 : (column + row) % 2 == 0;
      raster.set(box.x + column, box.y + row, lit ? kWhite : kBlack);
    }
  }
}

void draw_title(Raster& raster, const Box& box, const std::string& title) {
  const int wanted = std::max(1, box.height / 24);
  const int fits = std::max(1, box.width / std::max(1, text_width(title, 1)));
  const int scale = std::min(wanted, fits);
  draw_text(raster, box.x + (box.width - text_width(title, scale)) / 2,
            box.y + (box.height - kGlyphHeight * scale) / 2, title, scale, kWhite);
}

// What is drawn inside must be seen on a round glass too: there the largest square that fits is used.
Box inner_box(const CardPlan& plan) {
  if (!plan.round) return {0, 0, plan.width, plan.height};
  const int side = std::min(plan.width, plan.height) * 70 / 100;  // below 1/sqrt(2)
  return {(plan.width - side) / 2, (plan.height - side) / 2, side, side};
}

bool has_glass(const CardPlan& plan, int column, int row) {
  if (!plan.round) return true;
  const std::int64_t diameter = std::min(plan.width, plan.height);
  const std::int64_t dx = 2LL * column - (plan.width - 1);
  const std::int64_t dy = 2LL * row - (plan.height - 1);
  return dx * dx + dy * dy <= diameter * diameter;
}

}  // namespace

CardPlan plan_card(const model::Kit& kit) {
  const auto whole = [](model::Pixels pixels) { return static_cast<int>(pixels.count); };
  const model::Panel& panel = kit.panel;
  CardPlan plan;
  plan.raster_width = whole(panel.signal.raster_columns);
  plan.raster_height = whole(panel.signal.raster_lines);
  plan.width = whole(panel.glass.columns);
  plan.height = whole(panel.glass.lines);
  if (panel.signal.window) {
    plan.x = whole(panel.signal.window->x);
    plan.y = whole(panel.signal.window->y);
  }
  plan.round = panel.glass.shape == model::Shape::kCircle;
  plan.title = kit.about.id + " " + std::to_string(plan.width) + " x " + std::to_string(plan.height);
  return plan;
}

Raster draw_card(const CardPlan& plan) {
  // Drawn on its own, so that nothing of it can reach beyond the window.
  Raster window{plan.width, plan.height, kGround};
  const Box whole{0, 0, plan.width, plan.height};
  const Box inner = inner_box(plan);
  const int margin = inner.width / 12;
  const int gap = inner.height * 12 / 100;
  const int band = inner.height * 22 / 100;
  const int ring = inner.height * 9 / 10;
  const Box strip{inner.x + margin, inner.y + gap, inner.width - 2 * margin, band};
  draw_ramps(window, strip);
  draw_fine_patterns(window, {strip.x, inner.y + inner.height - gap - band, strip.width, band});
  draw_ring(window, {inner.x + (inner.width - ring) / 2, inner.y + (inner.height - ring) / 2, ring, ring});
  // Inside the ring, so that neither cuts the other.
  const int text = std::min(strip.width, ring * 85 / 100);
  draw_title(window,
             {inner.x + (inner.width - text) / 2, strip.y + band, text, inner.height - 2 * (gap + band)},
             plan.title);
  if (plan.round) {
    draw_ring(window, whole);
  } else {
    draw_border(window, whole);
    draw_corners(window, whole);
  }

  Raster raster{plan.raster_width, plan.raster_height};
  for (int y = 0; y < plan.height; ++y) {
    for (int x = 0; x < plan.width; ++x) raster.set(plan.x + x, plan.y + y, window.at(x, y));
  }
  return raster;
}

Raster visible_part(const Raster& raster, const CardPlan& plan) {
  Raster seen{plan.width, plan.height};
  for (int row = 0; row < plan.height; ++row) {
    for (int column = 0; column < plan.width; ++column) {
      const int x = plan.x + column;
      const int y = plan.y + row;
      if (!has_glass(plan, column, row) || x < 0 || y < 0 || x >= raster.width() || y >= raster.height())
        continue;
      seen.set(column, row, raster.at(x, y));
    }
  }
  return seen;
}

}  // namespace host::signal::card
