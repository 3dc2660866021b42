// Whole verify runs over a line with faults, as a program; scripts/soak --unit builds and runs it.

#include <chrono>
#include <cstdio>
#include <random>
#include <string>
#include <string_view>

#include "tests/soak/report.hpp"
#include "tests/soak/verify_run.hpp"

namespace {

using namespace tests::soak;

struct Options {
  std::uint64_t transactions = 200'000;
  std::uint64_t seed = 0;
  bool seeded = false;
  std::string catalogue = "host/catalog";
  std::string kit = "stop-display";
};

bool parse(int argc, char** argv, Options& options) {
  for (int i = 1; i + 1 < argc; i += 2) {
    const std::string_view word{argv[i]};
    const char* const value = argv[i + 1];
    if (word == "--transactions") {
      if (!number(value, options.transactions) || options.transactions == 0) return false;
    } else if (word == "--seed") {
      if (!number(value, options.seed)) return false;
      options.seeded = true;
    } else if (word == "--catalogue") {
      options.catalogue = value;
    } else if (word == "--kit") {
      options.kit = value;
    } else {
      return false;
    }
  }
  return argc % 2 == 1;
}

int soak_unit(const Options& options) {
  Tally tally;
  Verdicts verdicts;
  const auto began = std::chrono::steady_clock::now();
  if (!verify_runs(options.catalogue, options.kit, options.seed, options.transactions, tally, verdicts)) {
    std::fprintf(stderr, "soak: the kit %s can't be loaded from %s\n", options.kit.c_str(),
                 options.catalogue.c_str());
    return 66;
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
  print_wire(tally);
  std::printf("came of it\n");
  count("verify runs", verdicts.runs);
  count("passed", verdicts.passed);
  count("failed", verdicts.failed);
  count("incomplete", verdicts.incomplete);
  count("EDIDs read", verdicts.edids);
  count("EDIDs read wrongly", verdicts.edids_wrong);
  count("passed falsely", verdicts.passed_falsely);
  count("failed falsely", verdicts.failed_falsely);
  count("not recovered in two runs", verdicts.not_recovered);
  std::printf("%llu transactions in %.1f s: %.0f a second\n",
              static_cast<unsigned long long>(tally.transactions), took.count(),
              static_cast<double>(tally.transactions) / took.count());
  // What the line makes of a frame gets past the CRC at times.
  const bool sound = verdicts.edids > 0 &&
                     within_theory(verdicts.edids_wrong, tally.coincidences_expected()) &&
                     verdicts.passed_falsely == 0 && verdicts.failed_falsely == 0 &&
                     verdicts.not_recovered == 0 && verdicts.passed > 0 && verdicts.failed > 0;
  std::printf("%s\n", sound ? "sound" : "NOT SOUND");
  return sound ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!parse(argc, argv, options)) {
    std::fputs("usage: soak_unit [--transactions N] [--seed S] [--catalogue DIR] [--kit ID]\n", stderr);
    return 64;
  }
  if (!options.seeded) options.seed = std::random_device{}();
  std::printf("soak: --unit --seed %llu\n", static_cast<unsigned long long>(options.seed));
  return soak_unit(options);
}
