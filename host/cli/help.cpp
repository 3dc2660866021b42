#include "host/cli/help.hpp"

#include <array>

#include "host/cli/exit_code.hpp"
#include "host/report/columns.hpp"

namespace host::cli {
namespace {

// Of every document that a command writes, in the order of the commands.
constexpr auto kSchemas = std::to_array<std::string_view>(
    {"strapline/check/1", "strapline/match/1", "strapline/verify/1", "strapline/edid/1",
     "strapline/edid-diff/1", "strapline/timing/1", "strapline/timing-identify/1",
     "strapline/catalog-check/1", "strapline/ports/1", "strapline/scan/1"});

constexpr int kWidth = 80;
constexpr int kIndent = 2;
constexpr int kTextColumn = 26;

std::string prose(std::string_view text) {
  std::string out;
  for (const auto& line : report::wrapped(text, kWidth)) out += line + '\n';
  return out;
}

// A term and what it means, side by side, or below where the term is long.
std::string entry(const std::string& term, std::string_view text) {
  std::string line = std::string(kIndent, ' ') + term;
  std::string out;
  if (report::columns_of(line) + 2 > kTextColumn) {
    out += line + '\n';
    line.clear();
  }
  for (const auto& piece : report::wrapped(text, kWidth - kTextColumn)) {
    out += report::padded(line, kTextColumn) + piece + '\n';
    line.clear();
  }
  return out;
}

std::string entries(std::span<const OptionSpec> options) {
  std::string out;
  for (const auto& option : options) {
    std::string term = option.letter.empty() ? std::string{option.name}
                                             : std::string{option.letter} + ", " + std::string{option.name};
    if (!option.argument.empty()) term += " " + std::string{option.argument};
    std::string text{option.help};
    if (option.required) text += " (needed)";
    if (option.repeatable) text += " (repeatable)";
    if (!option.preset.empty()) text += " [" + std::string{option.preset} + "]";
    out += entry(term, text);
  }
  return out;
}

std::string exit_codes() {
  std::string out = "\nexit codes:\n";
  for (const auto& [code, meaning] : kExitMeanings)
    out += entry(std::to_string(static_cast<int>(code)), meaning);
  return out;
}

// "edid diff A B"
std::string named(const CommandSpec& spec) {
  const std::string arguments = argument_names(spec);
  return std::string{spec.name} + (arguments.empty() ? "" : " " + arguments);
}

std::string usage(const CommandSpec& spec) {
  std::string line = "usage: strapline [GLOBAL OPTION]... " + named(spec);
  for (const auto& option : spec.options) {
    if (option.required) line += " " + std::string{option.name} + " " + std::string{option.argument};
  }
  return line + " [OPTION]...\n";
}

}  // namespace

std::string help_text() {
  std::string out = "usage: strapline [GLOBAL OPTION]... COMMAND ...\n\n";
  out += prose(
      "Proves that a display unit was built as its kit says: panel, controller board, cables, straps and supply. "
      "Reads straps and rails of a closed unit over its serial line.");
  out += "\ncommands (strapline COMMAND --help tells more):\n";
  for (const auto& spec : commands()) {
    out += entry(named(spec), spec.summary);
  }
  out += "\nglobal options:\n" + entries(global_options()) + exit_codes() + "\nexamples:\n";
  for (const auto& spec : commands()) out += "  " + std::string{spec.examples.front()} + '\n';
  return out;
}

std::string help_text(const CommandSpec& spec) {
  std::string out = usage(spec) + '\n' + prose(spec.about) + '\n';
  for (const auto& argument : spec.arguments) {
    if (!argument.name.empty()) out += entry(std::string{argument.name}, argument.help);
  }
  out += "\noptions:\n" + entries(spec.options) + "\nglobal options:\n" + entries(global_options()) +
         exit_codes();
  out += "\nexamples:\n";
  for (const auto example : spec.examples) out += "  " + std::string{example} + '\n';
  return out;
}

std::string group_help_text(std::string_view group) {
  std::string out =
      "usage: strapline [GLOBAL OPTION]... " + std::string{group} + " COMMAND ...\n\ncommands:\n";
  std::string examples;
  for (const auto& spec : commands()) {
    if (group_of(spec) != group) continue;
    out += entry(named(spec), spec.summary);
    examples += "  " + std::string{spec.examples.front()} + '\n';
  }
  return out + "\nexamples:\n" + examples;
}

std::string version_text() {
  std::string schemas = "schemas";
  for (const auto schema : kSchemas)
    schemas += (schema == kSchemas.front() ? " " : ", ") + std::string{schema};
  return "strapline " STRAPLINE_VERSION "\n" + prose(schemas);
}

}  // namespace host::cli
