#include "tests/soak/report.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

namespace tests::soak {

bool number(const char* text, std::uint64_t& value) {
  char* end = nullptr;
  value = std::strtoull(text, &end, 0);
  return end != text && *end == '\0';
}

bool within_theory(std::uint64_t seen, double expected) {
  return static_cast<double>(seen) <= expected + 5 * std::sqrt(expected) + 3;
}

void count(const char* what, std::uint64_t n) {
  std::printf("  %-28s %12llu\n", what, static_cast<unsigned long long>(n));
}

void print_wire(const Tally& tally) {
  std::printf("injected\n");
  for (std::size_t i = 0; i < kFaults; ++i) count(std::string{kFaultNames[i]}.c_str(), tally.wire.hits[i]);
  std::printf("seen by the client\n");
  count("frames condemned", tally.bad);
  count("frames of another question", tally.stale);
  count("frames of others", tally.foreign);
  count("deadlines passed", tally.timeouts);
  count("octets out of turn", tally.octets_stray);
  count("retries", tally.retries);
  count("fences", tally.fences);
}

void print_operations(const Tally& tally) {
  std::printf("came of it\n");
  count("operations", tally.operations);
  count("right", tally.right);
  for (std::size_t function = 0; function < tally.right_by_function.size(); ++function) {
    if (tally.right_by_function[function] == 0) continue;
    char name[32];
    std::snprintf(name, sizeof name, "  of function %02zX", function);
    count(name, tally.right_by_function[function]);
  }
  count("failures reported", tally.failures);
  count("wrong values accepted", tally.wrong);
  count("CRC coincidences", tally.coincidences);
  std::printf("  %-28s %12.2f\n", "CRC coincidences expected", tally.coincidences_expected());
  count("not recovered", tally.not_recovered);
}

}  // namespace tests::soak
