#pragma once

#include <map>
#include <string>
#include <vector>

#include "sim/port/options.hpp"

namespace sim::port {

/// A command line as it was split, not yet understood.
struct Given {
  std::string kit;
  std::map<std::string, std::vector<std::string>> values;  // by option; a switch has an empty one
};

/// "strapline-sim: WHAT; see strapline-sim --help", exit code 64.
[[nodiscard]] Ending usage_error(const std::string& what);

/// What the options mean. Errors: exit code 64 with one line that says what would be right.
[[nodiscard]] tl::expected<Options, Ending> interpret(const Given& given);

}  // namespace sim::port
