// Whole verify runs over a line with faults, as a program; scripts/soak --unit builds and runs it.

#include <chrono>
#include <cstdio>
#include <random>
#include <string>
#include <string_view>

#include "tests/soak/process.hpp"
#include "tests/soak/report.hpp"
#include "tests/soak/verify_defects.hpp"
#include "tests/soak/verify_run.hpp"

namespace {

using namespace tests::soak;

constexpr std::uint64_t kTransactions = 200'000;
constexpr std::uint64_t kDefectTransactions = 60'000;  // each

struct Options {
  std::uint64_t transactions = 0;  // 0: as many as is usual
  std::uint64_t seed = 0;
  bool seeded = false;
  bool defects = false;
  std::string catalogue = "host/catalog";
  std::string kit = "stop-display";
};

bool parse(int argc, char** argv, Options& options) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word{argv[i]};
    if (word == "--defects") {
      options.defects = true;
      continue;
    }
    if (++i == argc) return false;
    const char* const value = argv[i];
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
  return true;
}

int kit_missing(const Options& options) {
  std::fprintf(stderr, "soak: the kit %s can't be loaded from %s, or not be built wrong\n",
               options.kit.c_str(), options.catalogue.c_str());
  return 66;
}

int soak_unit(const Options& options) {
  Tally tally;
  Verdicts verdicts;
  const auto began = std::chrono::steady_clock::now();
  const std::uint64_t transactions = options.transactions == 0 ? kTransactions : options.transactions;
  // What is held at half of the way is held at its end.
  if (!verify_runs(options.catalogue, options.kit, options.seed, transactions / 2, tally, verdicts)) {
    return kit_missing(options);
  }
  const Holdings halfway = holdings();
  if (!verify_runs(options.catalogue, options.kit, ~options.seed, transactions, tally, verdicts)) {
    return kit_missing(options);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
  print_wire(tally);
  std::printf("came of it\n");
  count("verify runs", verdicts.runs);
  count("passed", verdicts.passed);
  count("failed", verdicts.failed);
  count("incomplete", verdicts.incomplete);
  count("sets taken", verdicts.sets);
  count("sets taken wrongly", verdicts.sets_wrong);
  count("EDIDs read", verdicts.edids);
  count("EDIDs read wrongly", verdicts.edids_wrong);
  count("passed falsely", verdicts.passed_falsely);
  count("failed falsely", verdicts.failed_falsely);
  count("not recovered in two runs", verdicts.not_recovered);
  std::printf("%llu transactions in %.1f s: %.0f a second\n",
              static_cast<unsigned long long>(tally.transactions), took.count(),
              static_cast<double>(tally.transactions) / took.count());
  const Holdings ended = holdings();
  std::printf("memory %zu KiB at half, %zu at the end; descriptors %zu and %zu\n", halfway.memory_kib,
              ended.memory_kib, halfway.descriptors, ended.descriptors);
  // What the line makes of a frame gets past the CRC at times.
  const bool sound =
      verdicts.edids > 0 && within_theory(verdicts.edids_wrong, tally.coincidences_expected()) &&
      within_theory(verdicts.sets_wrong, tally.coincidences_expected()) && verdicts.passed_falsely == 0 &&
      verdicts.failed_falsely == 0 && verdicts.not_recovered == 0 && verdicts.passed > 0 &&
      verdicts.failed > 0 && ended.memory_kib <= halfway.memory_kib + kMemoryGrowthKib &&
      ended.descriptors == halfway.descriptors;
  std::printf("%s\n", sound ? "sound" : "NOT SOUND");
  return sound ? 0 : 1;
}

// Each planted defect has to be seen, and with none the same faults do no harm.
int show_defects(const Options& options) {
  const std::uint64_t transactions = options.transactions == 0 ? kDefectTransactions : options.transactions;
  std::size_t as_expected = 0;
  for (const VerifyDefect& defect : verify_defects()) {
    Tally tally;
    Verdicts verdicts;
    if (!harsh_runs(options.catalogue, options.kit, options.seed, transactions, defect.around, tally,
                    verdicts)) {
      return kit_missing(options);
    }
    const bool healthy = &defect == verify_defects().data();
    // What gets past the CRC by chance is read twice, too.
    const bool seen = healthy ? verdicts.sets_wrong > 0
                              : !within_theory(verdicts.sets_wrong, tally.coincidences_expected());
    const bool expected = seen != healthy && verdicts.sets > 0;
    as_expected += expected ? 1 : 0;
    std::printf("%-15s %-56s sets %5llu, wrong %5llu  %s\n", std::string{defect.name}.c_str(),
                std::string{defect.what}.c_str(), static_cast<unsigned long long>(verdicts.sets),
                static_cast<unsigned long long>(verdicts.sets_wrong), seen ? "seen" : "not seen");
  }
  std::printf("%zu of %zu as they should be within %llu transactions each\n", as_expected,
              verify_defects().size(), static_cast<unsigned long long>(transactions));
  return as_expected == verify_defects().size() ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!parse(argc, argv, options)) {
    std::fputs("usage: soak_unit [--defects] [--transactions N] [--seed S] [--catalogue DIR] [--kit ID]\n",
               stderr);
    return 64;
  }
  if (!options.seeded) options.seed = std::random_device{}();
  std::printf("soak: --unit --seed %llu\n", static_cast<unsigned long long>(options.seed));
  return options.defects ? show_defects(options) : soak_unit(options);
}
