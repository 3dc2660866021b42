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

/// What is really so, whatever the unit says of itself.
struct Truth {
  std::vector<std::pair<std::string, std::string>> straps;  // id and position as they stand, in board order
  std::vector<ActiveFault> faults;                          // in the order they came
  std::string screen;                                       // what the eye sees, in the words of sim/eye
  std::vector<std::string> look;                            // sorted
  std::string when;
  std::vector<std::string> damaged;  // parts that no mending brings back: "panel logic", …
};

}  // namespace sim::unit
