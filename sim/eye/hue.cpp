#include "sim/eye/hue.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace sim::eye {
namespace {

using host::signal::card::Rgb;

constexpr double kVisible = 24;  // levels
constexpr double kOneWay = 0.7;  // cosine of the angle to the direction of all
constexpr double kHueOff = 30;   // degrees
constexpr int kColourful = 20;   // levels between the greatest and the least of a colour
constexpr double kCircle = 360;

// Of a tint, away from grey.
using Direction = std::array<double, 3>;
double product(const Direction& a, const Direction& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

std::optional<double> hue_of(Rgb pixel) {
  const int r = pixel.red, g = pixel.green, b = pixel.blue;
  const int most = std::max({r, g, b}), least = std::min({r, g, b});
  if (most - least < kColourful) return std::nullopt;
  const double range = most - least;
  constexpr double kSixth = 60;
  if (most == r) return std::fmod(kSixth * (g - b) / range + kCircle, kCircle);
  if (most == g) return kSixth * ((b - r) / range + 2);
  return kSixth * ((r - g) / range + 4);
}

}  // namespace

Tint tint_of(const std::vector<Fates::Grey>& greys) {
  std::vector<Direction> tinted;
  Direction joint{};
  double amount = 0;
  for (const Fates::Grey& grey : greys) {
    const auto [least, most] = std::minmax_element(grey.became.begin(), grey.became.end());
    amount += *most - *least;
    if (*most - *least < kVisible) continue;
    const double mean = (grey.became[0] + grey.became[1] + grey.became[2]) / 3.0;
    Direction& off = tinted.emplace_back();
    for (std::size_t colour = 0; colour < off.size(); ++colour) {
      off.at(colour) = grey.became.at(colour) - mean;
      joint.at(colour) += off.at(colour);
    }
  }
  const auto along = [&](const Direction& off) {
    return product(off, joint) >= kOneWay * std::sqrt(product(off, off) * product(joint, joint));
  };
  Tint tint;
  tint.visible = !greys.empty() && amount / static_cast<double>(greys.size()) >= kVisible;
  tint.same = std::all_of(tinted.begin(), tinted.end(), along);
  return tint;
}

bool hue_lost(Rgb wanted, Rgb became) {
  const auto was = hue_of(wanted), is = hue_of(became);
  if (!was || !is) return was.has_value();
  const double off = std::abs(*was - *is);
  return std::min(off, kCircle - off) >= kHueOff;
}

}  // namespace sim::eye
