#pragma once

#include <string>

namespace sim::port {

/// What `strapline-sim --help` prints: options in their groups, faults, commands of the control socket, exit
/// codes, examples. 80 columns.
[[nodiscard]] std::string help_text();

/// What `strapline-sim --version` prints.
[[nodiscard]] std::string version_text();

}  // namespace sim::port
