#include "host/cli/help.hpp"

#include <doctest/doctest.h>

#include "host/cli/exit_code.hpp"
#include "host/report/columns.hpp"

using namespace host::cli;

TEST_SUITE("host/cli/help") {
  TEST_CASE("help names every command, option, exit code and example, and fits 80 columns") {
    for (const auto& spec : commands()) {
      const std::string text = help_text(spec);
      CHECK(help_text().find(std::string{spec.name}) != std::string::npos);
      for (const auto group : {global_options(), spec.options}) {
        for (const auto& option : group) {
          CAPTURE(option.name);
          CHECK(text.find(std::string{option.name}) != std::string::npos);
        }
      }
      for (const auto& [code, meaning] : kExitMeanings) {
        CHECK(text.find("  " + std::to_string(static_cast<int>(code)) + " ") != std::string::npos);
      }
      for (const auto example : spec.examples) CHECK(text.find(example) != std::string::npos);
      for (std::string rest = text; !rest.empty();) {
        const std::size_t end = rest.find('\n');
        const std::string line = rest.substr(0, end);
        CAPTURE(line);
        CHECK(host::report::columns_of(line) <= 80);
        rest.erase(0, end + 1);
      }
    }
  }

  TEST_CASE("the version names the schemas it writes") {
    CHECK(version_text().starts_with("strapline 0."));
    CHECK(version_text().find("strapline/verify/1") != std::string::npos);
  }
}
