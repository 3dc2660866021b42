#include <algorithm>
#include <array>
#include <cmath>

#include "host/signal/card/card.hpp"
#include "sim/eye/glance.hpp"
#include "sim/eye/lighting.hpp"
#include "sim/eye/surface.hpp"

namespace sim::eye {
namespace {

using host::signal::card::Raster;
using host::signal::card::Rgb;

constexpr double kEyePower = 1 / 2.2;
constexpr double kTorch = 0.08;
constexpr double kLeak = 0.001;  // of white, through black glass
constexpr double kFull = 255;
constexpr double kStray = 0.15;  // of its own, what its neighbours give a dark string's place

// Strings lie one beside the other; the first ones are those that are dark. Their edges are soft.
double string_share(const Light& light, int column, int width) {
  if (light.strings_dark == 0) return 1;
  const double dark_to = static_cast<double>(width) * light.strings_dark / kStrings;
  const double soft = static_cast<double>(width) / (4 * kStrings);
  const double lit = std::clamp((column - dark_to + soft / 2) / soft, 0.0, 1.0);
  return kStray + (1 - kStray) * lit;
}

}  // namespace

Raster picture(const Scene& scene) {
  const Light& light = scene.light;
  Raster seen = surface(scene);
  const bool lit = luminance(light) > 0;
  if (!lit) {
    const Shown what = shown(scene, false);
    if (combined(what, light).screen != "dark-image") return Raster{seen.width(), seen.height()};
  }
  const double relative = light.share * light.lamp / std::max(light.wanted, 1e-3);
  const double worn = std::clamp(1 - light.lamp, 0.0, 1.0);  // an old lamp's phosphors lose blue first
  const std::array<double, 3> tint{1, 1 - 0.4 * worn, 1 - 0.9 * worn};
  const double leak = std::pow(kLeak, kEyePower) * kFull;
  for (int x = 0; x < seen.width(); ++x) {
    const double here = lit ? std::pow(relative * string_share(light, x, seen.width()), kEyePower) : kTorch;
    for (int y = 0; y < seen.height(); ++y) {
      const Rgb pixel = seen.at(x, y);
      const auto level = [&](std::uint8_t value, double colour) {
        const double through = lit ? std::max<double>(value, leak) : value;
        return static_cast<std::uint8_t>(std::clamp(std::lround(through * here * colour), 0L, 255L));
      };
      seen.set(x, y, {level(pixel.red, tint[0]), level(pixel.green, tint[1]), level(pixel.blue, tint[2])});
    }
  }
  if (!scene.panel.round) return seen;
  return host::signal::card::visible_part(
      seen, {seen.width(), seen.height(), 0, 0, seen.width(), seen.height(), true, {}});
}

}  // namespace sim::eye
