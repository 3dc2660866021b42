#include "sim/port/help.hpp"

#include <doctest/doctest.h>

#include "sim/fault/kind.hpp"
#include "sim/port/option_table.hpp"
#include "sim/script/act.hpp"

TEST_SUITE("sim/port/help") {
  TEST_CASE("the help names every option, fault and command, with what it takes, in 80 columns") {
    const std::string help = sim::port::help_text();
    for (const auto& group : sim::port::option_groups()) {
      CHECK(help.find("\n" + std::string{group.title} + ":\n") != std::string::npos);
      for (const auto& spec : group.options) {
        CAPTURE(std::string{spec.name});
        const std::string argument{spec.argument};
        CHECK(help.find("\n  " + std::string{spec.name} + (argument.empty() ? "" : " ") + argument) !=
              std::string::npos);
      }
    }
    for (const auto& words : sim::fault::all_words()) {
      CAPTURE(std::string{words.name});
      const std::string argument{words.argument};
      CHECK(help.find("    " + std::string{words.name} + (argument.empty() ? "" : "=") + argument) !=
            std::string::npos);
    }
    for (const auto& words : sim::script::verb_words()) {
      CHECK(help.find("\n  " + std::string{words.name}) != std::string::npos);
    }
    for (std::size_t begin = 0; begin < help.size();) {
      const std::size_t end = help.find('\n', begin);
      const std::string line = help.substr(begin, end - begin);
      CAPTURE(line);
      CHECK(line.size() <= 80);
      CHECK(line.find_last_not_of(' ') + 1 == line.size());
      begin = end + 1;
    }
  }
}
