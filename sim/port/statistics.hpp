#pragma once

#include <memory>
#include <string>
#include <vector>

#include "sim/port/outlet.hpp"

namespace sim::port {

/// How the lines did, a line of text for each kind of thing that happened: faults by their counts, and where
/// they are paced how late pieces were handed on. Empty when there is nothing to say.
[[nodiscard]] std::string statistics_text(const std::vector<std::unique_ptr<Outlet>>& outlets, bool paced);

}  // namespace sim::port
