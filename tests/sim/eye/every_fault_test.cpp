#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include <doctest/doctest.h>

#include "sim/fault/fault.hpp"

namespace {

// All tests of what is seen, as they stand here.
std::string tests_of_sight() {
  const char* source = std::getenv("STRAPLINE_SOURCE");  // NOLINT(concurrency-mt-unsafe): one thread
  const std::string folder = std::string{source != nullptr ? source : "."} + "/tests/sim/eye/";
  std::ostringstream text;
  for (const char* file :
       {"fault_seen_test.cpp", "power_seen_test.cpp", "source_seen_test.cpp", "board_seen_test.cpp"}) {
    const std::ifstream in{folder + file};
    REQUIRE(in.good());
    text << in.rdbuf();
  }
  return text.str();
}

}  // namespace

TEST_SUITE("sim/eye/every_fault") {
  TEST_CASE("every fault there is has its sight stated, or why there is none") {
    const std::string tests = tests_of_sight();
    for (std::size_t i = 0; i < sim::fault::kKindCount; ++i) {
      const std::string name{sim::fault::name(static_cast<sim::fault::Kind>(i))};
      CAPTURE(name);
      const bool stated = tests.find("{\"" + name + "\", \"") != std::string::npos ||
                          tests.find("{\"" + name + "=") != std::string::npos ||
                          tests.find("seen_with(\"" + name + "\"") != std::string::npos;
      CHECK(stated);
    }
  }
}
