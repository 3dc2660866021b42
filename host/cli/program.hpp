#pragma once

#include <string>
#include <vector>

namespace host::cli {

/// The whole program but for the words it was given. Returns its exit code.
[[nodiscard]] int run_program(const std::vector<std::string>& words);

}  // namespace host::cli
