#include <algorithm>
#include <functional>

#include <CLI/CLI.hpp>

#include "host/cli/command_line.hpp"
#include "host/model/nearest.hpp"

namespace host::cli {
namespace {

using Values = decltype(CommandLine::values);

void add(CLI::App& app, const OptionSpec& spec, Values& values) {
  const std::string name{spec.name};
  const std::string names = spec.letter.empty() ? name : name + "," + std::string{spec.letter};
  if (spec.argument.empty()) {
    app.add_flag_callback(names, [&values, name] { values[name] = {"true"}; });
    return;
  }
  const std::function<void(const std::vector<std::string>&)> keep = [&values, name](const auto& given) {
    values[name] = given;
  };
  auto* option = app.add_option_function(names, keep);
  option->allow_extra_args(false);
  option->multi_option_policy(spec.repeatable ? CLI::MultiOptionPolicy::TakeAll
                                              : CLI::MultiOptionPolicy::Throw);
  if (!spec.repeatable) option->expected(1);
}

std::vector<const OptionSpec*> specs_for(const std::optional<CommandId>& id) {
  std::vector<const OptionSpec*> specs;
  for (const auto& spec : global_options()) specs.push_back(&spec);
  if (id) {
    for (const auto& spec : command(*id).options) specs.push_back(&spec);
  }
  return specs;
}

// The commands that may stand where the line stands: those of its group, or all, shared words once.
std::vector<std::string> command_names(std::string_view group) {
  std::vector<std::string> names;
  for (const auto& spec : commands()) {
    const std::string_view own = group_of(spec);
    if (!group.empty() && own != group) continue;
    const std::string_view name = group.empty() && !own.empty() ? own : spec.name;
    if (std::find(names.begin(), names.end(), name) == names.end()) names.emplace_back(name);
  }
  return names;
}

std::string unexpected_word(const std::string& word, const CommandLine& line) {
  std::vector<std::string> names;
  if (!word.starts_with('-') || word == "-") {
    if (line.command) {
      const CommandSpec& spec = command(*line.command);
      const std::string taken = argument_names(spec);
      return "'" + word + "' is one word too many; " + std::string{spec.name} + " takes " +
             (taken.empty()                          ? "options only"
              : taken.find(' ') == std::string::npos ? "one " + taken
                                                     : taken);
    }
    names = command_names(line.group);
    const std::vector<std::string_view> views(names.begin(), names.end());
    const std::string whole = line.group.empty() ? word : std::string{line.group} + ' ' + word;
    return "unknown command '" + whole + "'; " + model::nearest_hint(whole, views, "commands");
  }
  const std::string name = word.substr(0, word.find('='));
  const auto bare = [](std::string_view option) {
    return option.substr(std::min(option.find_first_not_of('-'), option.size()));
  };
  for (const auto* spec : specs_for(line.command)) names.emplace_back(bare(spec->name));
  std::string text = "unknown option '" + name + "'";
  if (line.command) text += " of " + std::string{command(*line.command).name};
  const auto best = model::nearest(bare(name), std::span<const std::string>{names});
  if (best) return text + "; did you mean '--" + *best + "'?";
  return text + "; strapline " + (line.command ? std::string{command(*line.command).name} + " " : "") +
         "--help lists what there is";
}

// CLI11 names the option at the front of its message; the rest is said in our words.
std::string mistaken_option(const std::string& what, const CommandLine& line) {
  for (const auto* spec : specs_for(line.command)) {
    const std::string name{spec->name};
    if (!what.starts_with(name) || what.find_first_of(" :,", name.size()) != name.size()) continue;
    if (line.has(name) || what.find("At Most") != std::string::npos) return name + " may be given only once";
    std::string text = name;
    text.append(" needs a value: ")
        .append(name)
        .append(" ")
        .append(spec->argument)
        .append(", ")
        .append(spec->help);
    return text;
  }
  return what;
}

// "--json=no" would count as given.
std::string valued_flag(const std::vector<std::string>& words, const CommandLine& line) {
  for (const auto* spec : specs_for(line.command)) {
    const std::string start = std::string{spec->name} + "=";
    const bool given =
        std::any_of(words.begin(), words.end(), [&](const auto& word) { return word.starts_with(start); });
    if (spec->argument.empty() && given) return std::string{spec->name} + " takes no value";
  }
  return {};
}

std::string missing(const CommandLine& line) {
  if (!line.command) {
    std::string names;
    for (const auto& name : command_names(line.group)) names.append(names.empty() ? "" : ", ").append(name);
    if (!line.group.empty()) return std::string{line.group} + " needs one of: " + names;
    return "no command given; there are " + names + "; strapline --help tells more";
  }
  const CommandSpec& spec = command(*line.command);
  for (std::size_t index = 0; index < kArgumentsMax; ++index) {
    const ArgumentSpec& argument = spec.arguments[index];
    if (argument.name.empty() || !line.arguments[index].empty()) continue;
    return std::string{spec.name} + " needs a " + std::string{argument.name} + ": " +
           std::string{argument.help};
  }
  for (const auto& option : spec.options) {
    if (!option.required || line.has(option.name)) continue;
    return std::string{spec.name} + " needs " + std::string{option.name} + " " +
           std::string{option.argument} + ": " + std::string{option.help};
  }
  return {};
}

// "help verify", as other programs take it, is "verify --help" here.
std::vector<std::string> with_help_as_option(const std::vector<std::string>& given) {
  std::vector<std::string> words = given;
  if (!words.empty() && words.front() == "help") {
    words.erase(words.begin());
    words.emplace_back("--help");
  }
  return words;
}

}  // namespace

std::optional<std::string> CommandLine::value(std::string_view option) const {
  if (const auto found = values.find(option); found != values.end() && !found->second.empty()) {
    return found->second.back();
  }
  for (const auto* spec : specs_for(command)) {
    if (spec->name == option && !spec->preset.empty()) return std::string{spec->preset};
  }
  return std::nullopt;
}

std::vector<std::string> CommandLine::all(std::string_view option) const {
  const auto found = values.find(option);
  return found == values.end() ? std::vector<std::string>{} : found->second;
}

tl::expected<CommandLine, std::string> parse(const std::vector<std::string>& given) {
  const std::vector<std::string> words = with_help_as_option(given);
  CommandLine line;
  CLI::App app;
  const auto prepare = [](CLI::App& parser) {
    parser.set_help_flag();
    parser.allow_extras();
    parser.fallthrough();
  };
  prepare(app);
  app.require_subcommand(0, 1);  // a kit may be called as a command is
  for (const auto& spec : global_options()) add(app, spec, line.values);
  std::map<std::string_view, CLI::App*> groups;
  for (const auto& spec : commands()) {
    CLI::App* parent = &app;
    const std::string_view group = group_of(spec);
    if (!group.empty()) {
      CLI::App*& shared = groups[group];
      if (shared == nullptr) {
        shared = app.add_subcommand(std::string{group});
        prepare(*shared);
        shared->require_subcommand(0, 1);
        shared->preparse_callback([&line, group](std::size_t) {
          if (!line.command) line.group = group;
        });
      }
      parent = shared;
    }
    const std::size_t leaf = group.empty() ? 0 : group.size() + 1;
    CLI::App* sub = parent->add_subcommand(std::string{spec.name.substr(leaf)});
    prepare(*sub);
    sub->preparse_callback([&line, id = spec.id](std::size_t) {
      if (!line.command) line.command = id;
    });
    for (const auto& option : spec.options) add(*sub, option, line.values);
    for (std::size_t index = 0; index < kArgumentsMax; ++index) {
      const std::string name{spec.arguments[index].name};
      if (name.empty()) continue;
      if (spec.arguments[index].repeatable) {
        sub->add_option(name, line.repeated);
      } else {
        sub->add_option(name, line.arguments[index]);
      }
    }
  }
  try {
    std::vector<std::string> reversed(words.rbegin(), words.rend());
    app.parse(std::move(reversed));
  } catch (const CLI::ParseError& error) {
    return tl::unexpected{mistaken_option(error.what(), line)};
  }
  if (!line.repeated.empty()) line.arguments.front() = line.repeated.front();
  if (std::string text = valued_flag(words, line); !text.empty()) return tl::unexpected{std::move(text)};
  if (line.has("--help") || line.has("--version")) return line;
  if (const auto rest = app.remaining(true); !rest.empty())
    return tl::unexpected{unexpected_word(rest.front(), line)};
  if (std::string text = missing(line); !text.empty()) return tl::unexpected{std::move(text)};
  return line;
}

}  // namespace host::cli
