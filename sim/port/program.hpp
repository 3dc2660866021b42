#pragma once

#include "sim/port/options.hpp"

namespace sim::port {

/// Loads the kit, builds the units, and serves them or runs the script until the end. What it says on the way
/// goes to standard error. Returns  the exit code and what is still to be said.
[[nodiscard]] Ending run(const Options& options);

}  // namespace sim::port
