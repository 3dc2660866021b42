#pragma once

#include <compare>
#include <cstdint>
#include <optional>

namespace host::model {

/// A whole number of one unit. Two units never mix: there is no conversion and no common arithmetic.
template <typename Unit>
struct Quantity {
  std::int64_t count = 0;

  friend constexpr auto operator<=>(Quantity, Quantity) = default;
  friend constexpr Quantity operator+(Quantity a, Quantity b) { return {a.count + b.count}; }
  friend constexpr Quantity operator-(Quantity a, Quantity b) { return {a.count - b.count}; }
};

using Millivolts = Quantity<struct MillivoltUnit>;
using Milliamps = Quantity<struct MilliampUnit>;
using Milliwatts = Quantity<struct MilliwattUnit>;
using Milliohms = Quantity<struct MilliohmUnit>;
using Hertz = Quantity<struct HertzUnit>;
using KilobitsPerSecond = Quantity<struct KilobitPerSecondUnit>;  // of one lane on the wire
using Millihertz = Quantity<struct MillihertzUnit>;               // refresh rates
using Microseconds = Quantity<struct MicrosecondUnit>;
using Micrometres = Quantity<struct MicrometreUnit>;
using PartsPerMillion = Quantity<struct PartPerMillionUnit>;  // duty, brightness, tolerance, efficiency
using Millidegrees = Quantity<struct MillidegreeUnit>;        // of Celsius
using Pixels = Quantity<struct PixelUnit>;                    // or lines

/// Limits as a datasheet prints them: min / typical / max, each of which may be missing. A bound that is
/// missing does not limit. min <= nominal <= max where present (the loader refuses anything else).
template <typename Q>
struct Bounds {
  std::optional<Q> min;
  std::optional<Q> nominal;
  std::optional<Q> max;

  [[nodiscard]] constexpr bool contains(Q value) const {
    return (!min || *min <= value) && (!max || value <= *max);
  }
  friend constexpr bool operator==(const Bounds&, const Bounds&) = default;
};

/// A share of a value, rounded to the nearest: share_of(5000 mV, 30000 ppm) is 150 mV.
/// Range  |value.count x share.count| < 9.2e18, which every quantity within its file limits meets.
template <typename Unit>
[[nodiscard]] constexpr Quantity<Unit> share_of(Quantity<Unit> value, PartsPerMillion share) {
  const std::int64_t product = value.count * share.count;
  return {(product + (product < 0 ? -500'000 : 500'000)) / 1'000'000};
}

}  // namespace host::model
