#include "tests/soak/verify_run.hpp"

#include <array>

#include "tests/soak/bench.hpp"

namespace tests::soak {

namespace {

constexpr int kRunsWithOneMix = 40;
constexpr std::uint32_t kOnePercent = 655;  // in 1/65536
constexpr std::uint16_t kOthers = 2 * kOnePercent;

// One line in three is quiet, so that only others are against a set; on the rest answers are damaged in any
// case, one in a hundred to one in four.
Mix harsh_mix(Dice& dice) {
  if (dice.below(3) == 0) return {};
  Mix mix = draw_mix(dice);
  mix[Fault::kAnswerBits] = static_cast<std::uint16_t>(kOnePercent * (1 + dice.below(25)));
  return mix;
}

}  // namespace

bool verify_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                 std::uint64_t transactions, Tally& tally, Verdicts& verdicts) {
  const auto subject = subject_of(catalogue, kit);
  if (!subject) return false;
  constexpr std::array kBuilt{Built::kRight, Built::kWrongStrap, Built::kRight, Built::kWrongEdid};
  Dice dice{seed};
  for (std::size_t at = 0; tally.transactions < transactions; ++at) {
    const Built built = kBuilt[at % kBuilt.size()];
    Bench bench{*subject, {draw_mix(dice), built}, dice.next()};
    for (int run = 0; run < kRunsWithOneMix && tally.transactions < transactions; ++run) {
      if (bench.false_verdict(bench.verify(tally, verdicts))) {
        ++(built == Built::kRight ? verdicts.failed_falsely : verdicts.passed_falsely);
      }
    }
    bench.calm();
    if (!bench.true_verdict(bench.verify(tally, verdicts)) &&
        !bench.true_verdict(bench.verify(tally, verdicts))) {
      ++verdicts.not_recovered;
    }
    tally.add(bench.counts());
  }
  return true;
}

bool harsh_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                std::uint64_t transactions, const Around& around, Tally& tally, Verdicts& verdicts) {
  const auto subject = subject_of(catalogue, kit);
  if (!subject) return false;
  Dice dice{seed};
  while (tally.transactions < transactions) {
    Bench bench{*subject, {harsh_mix(dice), Built::kRight, kOthers, around}, dice.next()};
    for (int run = 0; run < kRunsWithOneMix && tally.transactions < transactions; ++run) {
      (void)bench.verify(tally, verdicts);
    }
    tally.add(bench.counts());
  }
  return true;
}

}  // namespace tests::soak
