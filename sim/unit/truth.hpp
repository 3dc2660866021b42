#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "sim/fault/fault.hpp"

namespace sim::unit {

/// A fault that is in the unit now, and how often it has changed what would have happened without it.
struct ActiveFault {
  fault::Fault fault;
  std::uint64_t hits = 0;
};

/// What is really so of the unit's parts, whatever it says of itself. What an eye sees of it: sim/eye.
struct Truth {
  std::vector<std::pair<std::string, std::string>> straps;  // id and position as they stand, in board order
  std::vector<ActiveFault> faults;                          // in the order they came
  std::vector<std::string> damaged;  // parts that no mending brings back: "panel logic", …
};

}  // namespace sim::unit
