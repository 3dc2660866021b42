#pragma once

#include <string>
#include <string_view>

#include "host/cli/options.hpp"

namespace host::cli {

/// What `strapline --help` prints: commands, global options, exit codes, examples. 80 columns.
[[nodiscard]] std::string help_text();

/// What `strapline COMMAND --help` prints.
[[nodiscard]] std::string help_text(const CommandSpec& spec);

/// What `strapline edid --help` prints: the commands that share this first word.
[[nodiscard]] std::string group_help_text(std::string_view group);

/// What `strapline --version` prints: the program, and the schemas and profile it speaks.
[[nodiscard]] std::string version_text();

}  // namespace host::cli
