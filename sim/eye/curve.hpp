#pragma once

#include <vector>

#include "sim/eye/fate.hpp"

namespace sim::eye {

/// What one colour does while grey rises from black to white. Levels are 0..255.
struct Curve {
  std::vector<int> became;  // by rising grey
  double lowest = 0, highest = 0;
  double correlation = 1;  // with grey, -1..1; 0 for a level that never changes
  double back = 0;         // sum of all runs of steps against its direction, from 16 levels on
  int levels = 0;          // different ones

  [[nodiscard]] double span() const { return highest - lowest; }
};

/// Of red, green and blue. Precondition: greys rise, two or more.
[[nodiscard]] std::vector<Curve> curves_of(const std::vector<Fates::Grey>& greys);

}  // namespace sim::eye
