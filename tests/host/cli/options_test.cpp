#include "host/cli/options.hpp"

#include <set>
#include <string>

#include <doctest/doctest.h>

#include "host/cli/command_line.hpp"
#include "host/cli/exit_code.hpp"

using namespace host::cli;

TEST_SUITE("host/cli/options") {
  TEST_CASE("every option says what it is for, and no name stands twice within reach") {
    for (const auto& command : commands()) {
      std::set<std::string_view> names;
      for (const auto group : {global_options(), command.options}) {
        for (const auto& option : group) {
          CAPTURE(option.name);
          CHECK(option.name.starts_with("--"));
          CHECK(names.insert(option.name).second);
          if (!option.letter.empty()) {
            CHECK(option.letter.size() == 2);
            CHECK(names.insert(option.letter).second);
          }
          CHECK_FALSE(option.help.empty());
          CHECK_FALSE(option.help.ends_with('.'));
          CHECK((option.preset.empty() || !option.argument.empty()));
          CHECK_FALSE((option.required && !option.preset.empty()));
        }
      }
    }
  }

  TEST_CASE("every command's examples are read by the parser as that command") {
    for (const auto& spec : commands()) {
      CHECK(&command(spec.id) == &spec);
      for (const auto example : spec.examples) {
        CAPTURE(example);
        std::vector<std::string> words;
        std::string word;
        bool quoted = false;
        for (const char letter : std::string{example} + ' ') {
          if (letter == '\'') {
            quoted = !quoted;
          } else if (letter != ' ' || quoted) {
            word += letter;
          } else if (!word.empty()) {
            words.push_back(std::move(word));
            word.clear();
          }
        }
        REQUIRE(words.front() == "strapline");
        words.erase(words.begin());
        const auto line = parse(words);
        REQUIRE(line.has_value());
        CHECK(line->command == spec.id);
      }
    }
  }

  TEST_CASE("the exit codes are those that scripts rely on, each once") {
    std::set<int> seen;
    for (const auto& [code, meaning] : kExitMeanings) {
      CHECK(seen.insert(static_cast<int>(code)).second);
      CHECK_FALSE(meaning.empty());
    }
    CHECK(seen == std::set<int>{0, 1, 2, 64, 65, 66, 69, 70, 73, 74, 77, 129, 130, 143});
  }
}
