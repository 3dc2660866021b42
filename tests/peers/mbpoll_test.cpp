// mbpoll as the client: the program a person at a bench would reach for.

#include <string>

#include <doctest/doctest.h>

#include "unit.hpp"

namespace {

tests::support::Outcome mbpoll(const tests::peers::Unit& unit, std::vector<std::string> what) {
  std::vector<std::string> arguments{"-m", "rtu",  "-a", "17", "-b", "115200",
                                     "-P", "none", "-0", "-1", "-o", "2"};
  arguments.insert(arguments.end(), what.begin(), what.end());
  arguments.push_back(unit.link());
  return tests::support::run({"mbpoll", arguments});
}

// The number behind "[at]:"; -1 when there is none.
long reading(const std::string& out, int at) {
  const std::string label = "[" + std::to_string(at) + "]:";
  const std::size_t found = out.find(label);
  return found == std::string::npos ? -1 : std::stol(out.substr(found + label.size()));
}

}  // namespace

TEST_SUITE("peers/mbpoll") {
  TEST_CASE("mbpoll reads the panel rail in millivolts") {
    const tests::peers::Unit unit;
    const auto outcome = mbpoll(unit, {"-t", "3", "-r", "328", "-c", "1"});  // 148h
    CAPTURE(outcome.out);
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(reading(outcome.out, 328) >= 3135);  // 3.3 V, 5 %
    CHECK(reading(outcome.out, 328) <= 3465);
  }

  TEST_CASE("mbpoll reads a block of straps") {
    const tests::peers::Unit unit;
    const auto outcome = mbpoll(unit, {"-t", "3", "-r", "256", "-c", "16"});  // 100h
    CAPTURE(outcome.out);
    CHECK(outcome.exit_code == 0);
    CHECK(reading(outcome.out, 256) >= 0);
    CHECK(reading(outcome.out, 271) >= 0);
  }

  TEST_CASE("mbpoll is told when nothing is at an address") {
    const tests::peers::Unit unit;
    const auto outcome = mbpoll(unit, {"-t", "3", "-r", "61440", "-c", "1"});  // F000h
    CHECK((outcome.out + outcome.err).find("Illegal data address") != std::string::npos);
  }
}
