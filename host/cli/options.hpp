#pragma once

#include <array>
#include <span>
#include <string_view>

namespace host::cli {

/// What stands on a command line. These tables are the one home of names, defaults and help: the parser and
/// the help are made from them.
enum class CommandId { kCheck, kVerify };

struct OptionSpec {
  std::string_view name;      // "--link"
  std::string_view letter;    // "-o", or empty
  std::string_view argument;  // what it takes, "URL"; empty: nothing
  std::string_view preset;    // value when not given, as typed; empty: none
  std::string_view help;      // one sentence without a full stop
  bool required = false;
  bool repeatable = false;
};

struct CommandSpec {
  CommandId id;
  std::string_view name;
  std::string_view argument;  // its one positional argument, "KIT"
  std::string_view argument_help;
  std::string_view summary;  // one line
  std::string_view about;    // a paragraph or two; lines wrap by themselves
  std::span<const OptionSpec> options;
  std::array<std::string_view, 2> examples;  // work as they stand, in any folder
};

[[nodiscard]] std::span<const OptionSpec> global_options();
[[nodiscard]] std::span<const CommandSpec> commands();

/// Precondition: `id` is one of the enum's.
[[nodiscard]] const CommandSpec& command(CommandId id);

}  // namespace host::cli
