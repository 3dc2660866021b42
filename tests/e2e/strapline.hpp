#pragma once

#include <string>
#include <vector>

#include "tests/support/run_program.hpp"

namespace tests::e2e {

/// strapline with `arguments`, the shipped catalogue, and nothing of the caller's settings.
inline support::Launch strapline(const std::vector<std::string>& arguments,
                                 const std::string& catalogue = support::source_path("host/catalog")) {
  support::Launch launch;
  launch.program = support::program_path("strapline");
  launch.arguments = {"--catalog", catalogue};
  launch.arguments.insert(launch.arguments.end(), arguments.begin(), arguments.end());
  launch.environment = {{"LC_ALL", "C.UTF-8"}, {"HOME", "/nonexistent"}, {"XDG_DATA_DIRS", "/nonexistent"}};
  return launch;
}

[[nodiscard]] inline bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace tests::e2e
