#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace host::cli {

/// What stands on a command line. These tables are the one home of names, defaults and help: the parser and
/// the help are made from them.
enum class CommandId {
  kCheck,
  kMatch,
  kSheet,
  kCard,
  kVerify,
  kEdidShow,
  kEdidMake,
  kEdidDiff,
  kTimingMake,
  kTimingIdentify,
  kCatalogCheck,
  kPorts,
  kScan,
  kTraceShow,
  kTraceExtract
};

struct OptionSpec {
  std::string_view name;      // "--link"
  std::string_view letter;    // "-o", or empty
  std::string_view argument;  // what it takes, "URL"; empty: nothing
  std::string_view preset;    // value when not given, as typed; empty: none
  std::string_view help;      // one sentence without a full stop
  bool required = false;
  bool repeatable = false;
};

/// A positional argument; every one is needed. A repeatable one is the first and only one.
struct ArgumentSpec {
  std::string_view name;  // "KIT"; empty: none
  std::string_view help;
  bool repeatable = false;
};

inline constexpr std::size_t kArgumentsMax = 2;
using ArgumentSpecs = std::array<ArgumentSpec, kArgumentsMax>;

struct CommandSpec {
  CommandId id;
  std::string_view name;  // one word, or two of which the first is shared: "edid show"
  ArgumentSpecs arguments;
  std::string_view summary;  // one line
  std::string_view about;    // a paragraph or two; lines wrap by themselves
  std::span<const OptionSpec> options;
  std::array<std::string_view, 2> examples;  // work as they stand, in any folder
};

[[nodiscard]] std::span<const OptionSpec> global_options();
[[nodiscard]] std::span<const CommandSpec> commands();

/// Precondition: `id` is one of the enum's.
[[nodiscard]] const CommandSpec& command(CommandId id);

/// The word a command shares with others: "edid" of "edid show"; empty when it has one word.
[[nodiscard]] std::string_view group_of(const CommandSpec& spec);

/// Its positional arguments as help and complaints write them: "KIT", "A B", "".
[[nodiscard]] std::string argument_names(const CommandSpec& spec);

}  // namespace host::cli
