#include <map>

#include <CLI/CLI.hpp>

#include "sim/port/help.hpp"
#include "sim/port/option_table.hpp"
#include "sim/port/option_values.hpp"
#include "sim/port/options.hpp"

namespace sim::port {

tl::expected<Options, Ending> parse_options(int count, const char* const* arguments) {
  CLI::App app;
  app.set_help_flag();
  Given given;
  app.add_option("KIT", given.kit);
  for (const OptionGroup& group : option_groups()) {
    for (const OptionSpec& spec : group.options) {
      const std::string name{spec.name};
      auto& values = given.values[name];
      if (spec.argument.empty()) {
        app.add_flag_callback(name, [&values] { values.emplace_back(); });
      } else {
        app.add_option(name, values)->allow_extra_args(false);
      }
    }
  }
  try {
    app.parse(count, arguments);
  } catch (const CLI::ParseError& error) {
    // Help is wanted most by those who got something else wrong.
    for (int i = 1; i < count; ++i) {
      if (std::string_view{arguments[i]} == "--help") return tl::unexpected(Ending{0, help_text()});
    }
    return tl::unexpected(usage_error(error.what()));
  }
  if (!given.values["--help"].empty()) return tl::unexpected(Ending{0, help_text()});
  if (!given.values["--version"].empty()) return tl::unexpected(Ending{0, version_text()});
  return interpret(given);
}

}  // namespace sim::port
