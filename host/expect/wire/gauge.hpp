#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"

namespace host::expect::wire {

using Microhms = model::Quantity<struct MicrohmUnit>;

enum class GaugeKind { kAwg, kMetric };

/// Thickness of a wire. AWG: solid, the number in `size`. Metric: strands, hundredths of a mm² in `size`.
struct Gauge {
  GaugeKind kind = GaugeKind::kAwg;
  int size = 0;
  friend bool operator==(const Gauge&, const Gauge&) = default;
};

/// Reads "AWG 28" (0 to 40) or "0.25 mm2", "0.25 mm²" (0.01 to 10).
/// Errors   one sentence.
[[nodiscard]] tl::expected<Gauge, std::string> parse_gauge(std::string_view text);

/// Diameter of a solid wire, in nanometres: 0.127 mm x 92^((36 - n) / 39).
/// Source   ASTM B258.
[[nodiscard]] std::int64_t diameter_nm(int awg);

/// Resistance of one wire of this length at this temperature of the copper, rounded to the nearest.
/// Source   AWG: ASTM B258 with 0.017241 Ω·mm²/m (NBS Handbook 100); metric: the maxima of IEC 60228, class 5
///          plain; both with 0.00393 per kelvin from 20 °C.
[[nodiscard]] Microhms resistance(const Gauge& gauge, model::Micrometres length,
                                  model::Millidegrees temperature);

}  // namespace host::expect::wire
