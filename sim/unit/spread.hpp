#pragma once

#include <cstdint>

#include "host/model/kit.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::unit {

/// Where inside their tolerances a unit's parts lie: near the middle, or anywhere up to the edge.
enum class Within : std::uint8_t { kTypical, kEdge };

/// How one built unit differs from the nominal one: factors on what its supply and regulators make. Its parts
/// lie within a tenth of their tolerance, or anywhere inside it. Seed 0 is the nominal unit: every factor 1.
struct Spread {
  double supply = 1;
  double logic = 1;
  double panel = 1;
  double light = 1;
  double keypad = 1;
  double enable = 1;
};

/// How far a kit's supply may lie off its nominal voltage, either side, as a share.
[[nodiscard]] double supply_band(const host::model::Kit& kit);

[[nodiscard]] Spread spread_of(const host::model::Kit& kit, std::uint64_t seed,
                               Within within = Within::kTypical);

}  // namespace sim::unit
