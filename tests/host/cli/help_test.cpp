#include "host/cli/help.hpp"

#include <filesystem>
#include <set>

#include <doctest/doctest.h>

#include "host/cli/exit_code.hpp"
#include "host/report/columns.hpp"
#include "tests/support/run_program.hpp"

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

  TEST_CASE("the version names the schema of every document there is, and no other") {
    CHECK(version_text().starts_with("strapline 0."));
    std::set<std::string> told;
    const std::string text = version_text();
    for (std::size_t at = text.find("strapline/"); at != std::string::npos;
         at = text.find("strapline/", at + 1)) {
      told.insert(text.substr(at, text.find_first_of(", \n", at) - at));
    }
    std::set<std::string> written;
    for (const auto& entry :
         std::filesystem::recursive_directory_iterator(tests::support::source_path("host"))) {
      if (!entry.path().string().ends_with(".schema.json")) continue;
      const std::string schema = tests::support::file_text(entry.path().string());
      const std::size_t at = schema.find("strapline/", schema.find("\"const\""));
      REQUIRE(at != std::string::npos);
      written.insert(schema.substr(at, schema.find('"', at) - at));
    }
    CHECK(written.size() >= 10);
    CHECK(told == written);
  }
}
