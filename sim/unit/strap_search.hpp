#pragma once

#include <string>
#include <vector>

#include "host/model/kit.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::unit {

/// Positions of a unit that was built right.
struct Healthy {
  Positions positions;
  std::vector<std::string> unmet;  // functions that can't give this panel what it needs: "panel-supply: …"
};

/// Works out where the straps of a unit stand that was built right: every function gets a value that the
/// panel's figures allow, the best first (the rail nearest the middle of the panel's window, the enable level
/// with most to spare, its own mapping, raster, channels and bits). Straps that no row fixes stay open, ways
/// that don't matter off.
[[nodiscard]] Healthy healthy_positions(const host::model::Kit& kit);

}  // namespace sim::unit
