// The soak as a program; scripts/soak builds and runs it.

#include <chrono>
#include <cinttypes>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>
#include <string_view>

#include "tests/soak/defects.hpp"
#include "tests/soak/process.hpp"
#include "tests/soak/report.hpp"
#include "tests/soak/run.hpp"

namespace {

using namespace tests::soak;

constexpr std::uint64_t kSegment = 20'000;  // transactions with one mix
constexpr std::uint64_t kDefectTransactions = 100'000;

struct Options {
  std::uint64_t transactions = 2'000'000;
  std::uint64_t seed = 0;
  bool seeded = false;
  bool defects = false;
};

bool parse(int argc, char** argv, Options& options) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word{argv[i]};
    if (word == "--defects") {
      options.defects = true;
    } else if (i + 1 < argc && word == "--transactions") {
      if (!number(argv[++i], options.transactions) || options.transactions == 0) return false;
    } else if (i + 1 < argc && word == "--seed") {
      if (!number(argv[++i], options.seed)) return false;
      options.seeded = true;
    } else {
      return false;
    }
  }
  return true;
}

int soak(const Options& options) {
  Dice dice{options.seed};
  Tally tally;
  Holdings settled{};
  const auto began = std::chrono::steady_clock::now();
  for (std::uint64_t segment = 0; tally.transactions < options.transactions; ++segment) {
    const Mix mix = draw_mix(dice);
    const std::uint64_t left = options.transactions - tally.transactions;
    Run<protocol::session::AllGuards>{mix, dice.next()}.go(std::min(kSegment, left), tally);
    if (segment == 4) settled = holdings();
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
  const Holdings ended = holdings();
  print_wire(tally);
  print_operations(tally);
  std::printf("%llu transactions in %.1f s: %.0f a second\n",
              static_cast<unsigned long long>(tally.transactions), took.count(),
              static_cast<double>(tally.transactions) / took.count());
  bool sound = tally.wrong == 0 && tally.not_recovered == 0 &&
               (tally.asked_everything() || tally.transactions < kSegment) &&
               within_theory(tally.coincidences, tally.coincidences_expected());
  if (settled.memory_kib != 0) {
    std::printf("memory %zu KiB after five mixes, %zu at the end; descriptors %zu and %zu\n",
                settled.memory_kib, ended.memory_kib, settled.descriptors, ended.descriptors);
    sound = sound && ended.memory_kib <= settled.memory_kib + kMemoryGrowthKib &&
            ended.descriptors == settled.descriptors;
  }
  std::printf("%s\n", sound ? "sound" : "NOT SOUND");
  return sound ? 0 : 1;
}

// Each planted defect has to be seen, and with none the same faults do no harm.
int show_defects(const Options& options) {
  std::size_t caught = 0;
  for (const Defect& defect : defects()) {
    const Tally tally = defect.run(options.seed, kDefectTransactions);
    // Wrong is also what the unit has not sent, but for what chance alone lets through.
    const bool seen = tally.wrong > 0 || !within_theory(tally.coincidences, tally.coincidences_expected());
    caught += seen ? 1 : 0;
    std::printf("%-15s %-56s wrong %5" PRIu64 ", %5" PRIu64 " of them never sent by the unit  %s\n",
                std::string{defect.name}.c_str(), std::string{defect.what}.c_str(),
                tally.wrong + tally.coincidences, tally.coincidences, seen ? "caught" : "MISSED");
  }
  for (const bool echo : {false, true}) {
    Tally tally;
    Run<protocol::session::AllGuards>{dense_mix(echo), options.seed}.go(kDefectTransactions, tally);
    const bool clean = tally.wrong == 0 && within_theory(tally.coincidences, tally.coincidences_expected());
    if (!clean) caught = 0;
    std::printf("%-15s %-56s wrong %5" PRIu64 ", %5" PRIu64 " of them never sent by the unit  %s\n", "none",
                echo ? "every guard, on a line that echoes" : "every guard", tally.wrong + tally.coincidences,
                tally.coincidences, clean ? "clean" : "NOT CLEAN");
  }
  std::printf("%zu of %zu caught within %llu transactions each\n", caught, defects().size(),
              static_cast<unsigned long long>(kDefectTransactions));
  return caught == defects().size() ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!parse(argc, argv, options)) {
    std::fputs("usage: soak [--transactions N] [--seed S] [--defects]\n", stderr);
    return 64;
  }
  if (!options.seeded) options.seed = std::random_device{}();
  std::printf("soak: --seed %llu\n", static_cast<unsigned long long>(options.seed));
  return options.defects ? show_defects(options) : soak(options);
}
