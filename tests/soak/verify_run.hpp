#pragma once

#include <cstdint>
#include <string>

#include "tests/soak/tally.hpp"

namespace tests::soak {

/// What came of whole verify runs.
struct Verdicts {
  std::uint64_t runs = 0;
  std::uint64_t passed = 0;
  std::uint64_t failed = 0;
  std::uint64_t incomplete = 0;
  std::uint64_t edids = 0;           ///< runs that read the unit's EDID
  std::uint64_t edids_wrong = 0;     ///< and read it otherwise than it is
  std::uint64_t passed_falsely = 0;  ///< a pass for a unit that was built wrong
  std::uint64_t failed_falsely = 0;  ///< a fail for one that was built right
  std::uint64_t not_recovered = 0;   ///< two runs after all faults had stopped the verdict was still another
};

/// Whole verify runs of a simulated unit of `kit` over a wire with faults, until that many transactions are
/// done: one unit in two is built wrong, each mix lasts for some runs. Returns  false when the kit can't be
/// loaded from the catalogue at `catalogue`.
[[nodiscard]] bool verify_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                               std::uint64_t transactions, Tally& tally, Verdicts& verdicts);

}  // namespace tests::soak
