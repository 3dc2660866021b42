#include "host/expect/wire/gauge.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>

namespace host::expect::wire {
namespace {

constexpr double kCopperOhmMm2PerM = 0.017241;
constexpr double kPerKelvin = 0.00393;
constexpr double kReferenceMdegc = 20'000;
constexpr double kBelowTheStandard = 1.16;
constexpr int kAwgMax = 40;
constexpr int kAreaMax = 1000;  // hundredths of a mm²

struct MetricMaximum {
  int area;  // hundredths of a mm²
  double ohm_per_km;
};
// IEC 60228, class 5 and 6, plain copper, 20 °C.
constexpr auto kMaxima =
    std::to_array<MetricMaximum>({{50, 39.0}, {75, 26.0}, {100, 19.5}, {150, 13.3}, {250, 7.98}});

tl::unexpected<std::string> not_a_gauge(std::string_view text) {
  return tl::unexpected("'" + std::string(text) + "' is no gauge; \"AWG 26\" or \"0.25 mm2\" is meant");
}

std::string_view trimmed(std::string_view text) {
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  return text;
}

// "0.25" as 25; -1 for anything finer, larger or else.
int hundredths(std::string_view text) {
  const std::size_t point = std::min(text.find('.'), text.size());
  int value = 0;
  const auto whole = text.substr(0, point);
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), value);
  if (error != std::errc() || end != whole.data() + whole.size() || value > kAreaMax) return -1;
  value *= 100;
  const auto rest = text.substr(std::min(point + 1, text.size()));
  if (rest.size() > 2) return -1;
  int place = 10;
  for (const char digit : rest) {
    if (digit < '0' || digit > '9') return -1;
    value += (digit - '0') * place;
    place /= 10;
  }
  return value <= kAreaMax && value > 0 ? value : -1;
}

double ohm_per_metre(const Gauge& gauge) {
  if (gauge.kind == GaugeKind::kAwg) {
    const double diameter_mm = static_cast<double>(diameter_nm(gauge.size)) / 1e6;
    return kCopperOhmMm2PerM / (std::numbers::pi * diameter_mm * diameter_mm / 4);
  }
  const auto* const maximum = std::ranges::find(kMaxima, gauge.size, &MetricMaximum::area);
  if (maximum != kMaxima.end()) return maximum->ohm_per_km / 1000;
  return kBelowTheStandard * kCopperOhmMm2PerM / (gauge.size / 100.0);
}

}  // namespace

tl::expected<Gauge, std::string> parse_gauge(std::string_view text) {
  const std::string_view word = trimmed(text);
  if (word.starts_with("AWG")) {
    const std::string_view number = trimmed(word.substr(3));
    int awg = -1;
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), awg);
    const bool whole = error == std::errc() && end == number.data() + number.size();
    if (!whole || awg < 0 || awg > kAwgMax) return not_a_gauge(text);
    return Gauge{GaugeKind::kAwg, awg};
  }
  for (const std::string_view unit : {"mm2", "mm²"}) {
    if (!word.ends_with(unit)) continue;
    const int area = hundredths(trimmed(word.substr(0, word.size() - unit.size())));
    if (area > 0) return Gauge{GaugeKind::kMetric, area};
  }
  return not_a_gauge(text);
}

std::int64_t diameter_nm(int awg) {
  return std::llround(127'000 * std::pow(92.0, (36.0 - awg) / 39.0));
}

Microhms resistance(const Gauge& gauge, model::Micrometres length, model::Millidegrees temperature) {
  const double kelvin = (static_cast<double>(temperature.count) - kReferenceMdegc) / 1000;
  const double metres = static_cast<double>(length.count) / 1e6;
  return {std::llround(ohm_per_metre(gauge) * metres * (1 + kPerKelvin * kelvin) * 1e6)};
}

}  // namespace host::expect::wire
