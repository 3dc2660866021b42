#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "host/cli/options.hpp"

namespace host::cli {

/// A command line taken apart, nothing of it understood yet but the names.
struct CommandLine {
  std::optional<CommandId> command;                  // nothing: help or version was asked for
  std::string_view group;                            // the first word, where commands share one: "edid"
  std::array<std::string, kArgumentsMax> arguments;  // positional, as many as it takes; empty with help
  std::vector<std::string> repeated;                 // all of a repeatable argument, in order
  std::map<std::string, std::vector<std::string>, std::less<>>
      values;  // by option name, "--link"; flags: "true"

  [[nodiscard]] bool has(std::string_view option) const { return values.contains(option); }
  /// The value given, the table's preset, or nothing.
  [[nodiscard]] std::optional<std::string> value(std::string_view option) const;
  [[nodiscard]] std::vector<std::string> all(std::string_view option) const;
};

/// Takes `words`, without the program's name, apart by the tables of options.hpp.
///
/// Returns  a command line with --help or --version in it, or one that has a command, its arguments and every
///          required option, each known and none repeated that may stand only once.
/// Errors   one sentence that says what is wrong, and what would be right (exit 64).
[[nodiscard]] tl::expected<CommandLine, std::string> parse(const std::vector<std::string>& words);

}  // namespace host::cli
