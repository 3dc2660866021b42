#pragma once

#include <string_view>
#include <vector>

#include "sim/eye/scene.hpp"

namespace sim::eye {

/// Where driven pixels come to lie on the panel's raster.
struct Landing {
  int columns = 0, lines = 0;    // that reach the panel
  int h_total = 0, v_total = 0;  // in its own clocks
  int slip = 0;                  // pixels by which each line begins off the one above
  int roll = 0;                  // lines by which the picture has run through, at the moment looked at
};

/// A panel counts lines and frames by its own limits: totals or a refresh beyond them, and it loses the
/// place: lines slip by what the total is off (at most 1/400 of a line), frames run through.
[[nodiscard]] Landing landing(const Scene& scene);

/// Where on the driven raster the panel's pixel x, y comes from: column and line as they reach the panel,
/// both negative in blanking or beyond.
struct Spot {
  int x = -1, y = -1;
};
[[nodiscard]] Spot spot(const Landing& landing, int x, int y);

/// torn, rolling, half (no more than 6/10 of a side is covered), shifted (less than 97/100 is, or it starts
/// elsewhere), cut (a part reaches no glass), squeezed (its sides are stretched unequally, by 2 % or more),
/// soft (fine columns have lost a tenth of their contrast against what the kit's own source has), mirrored.
[[nodiscard]] std::vector<std::string_view> misplaced(const Scene& scene);

}  // namespace sim::eye
