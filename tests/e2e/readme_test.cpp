#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::file_text;
using tests::support::Outcome;
using tests::support::run;
using tests::support::source_path;

namespace {

// What README.md shows of one run: "`strapline WORDS` ends with exit code N:" and a block.
struct Sample {
  std::vector<std::string> words;
  int exit_code = 0;
  std::vector<std::string> lines;
};

// Words as a shell makes them of a line that has single quotes and spaces only.
std::vector<std::string> shell_words(const std::string& line) {
  std::vector<std::string> words(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '\'') {
      quoted = !quoted;
    } else if (c == ' ' && !quoted) {
      words.emplace_back();
    } else {
      words.back() += c;
    }
  }
  return words;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream{text};
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::vector<Sample> samples() {
  const std::string begin = "`strapline ";
  const std::string middle = "` ends with exit code ";
  std::vector<Sample> all;
  bool inside = false;
  for (const std::string& line : lines_of(file_text(source_path("README.md")))) {
    const std::size_t end = line.find(middle);
    if (line.starts_with(begin) && end != std::string::npos) {
      all.push_back({shell_words(line.substr(begin.size(), end - begin.size())),
                     std::stoi(line.substr(end + middle.size())),
                     {}});
    } else if (line == "```") {
      inside = !inside && !all.empty() && all.back().lines.empty();
    } else if (inside) {
      all.back().lines.push_back(line);
    }
  }
  return all;
}

}  // namespace

TEST_SUITE("e2e/readme") {
  TEST_CASE("the runs that README.md shows print what it shows, in its order") {
    const auto all = samples();
    REQUIRE(all.size() == 2);
    for (const Sample& sample : all) {
      const Outcome outcome = run(strapline(sample.words));
      CHECK(outcome.exit_code == sample.exit_code);
      const auto printed = lines_of(outcome.out);
      std::size_t at = 0;
      std::size_t found = 0;
      for (const std::string& line : sample.lines) {
        // What is left out, and the time that a run took.
        if (line.starts_with("[") || line.find(" ms on the wire.") != std::string::npos) continue;
        CAPTURE(line);
        while (at < printed.size() && printed[at] != line) ++at;
        REQUIRE(at < printed.size());
        ++at;
        ++found;
      }
      CHECK(found > 20);
    }
  }
}
