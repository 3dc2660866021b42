#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "host/verify/reader.hpp"
#include "tests/soak/tally.hpp"

namespace tests::soak {

/// What came of whole verify runs.
struct Verdicts {
  std::uint64_t runs = 0;
  std::uint64_t passed = 0;
  std::uint64_t failed = 0;
  std::uint64_t incomplete = 0;
  std::uint64_t sets = 0;            ///< of readings that were taken to be good for a verdict
  std::uint64_t sets_wrong = 0;      ///< and are not what the unit latched, or of a line too bad for any
  std::uint64_t edids = 0;           ///< runs that read the unit's EDID
  std::uint64_t edids_wrong = 0;     ///< and read it otherwise than it is
  std::uint64_t passed_falsely = 0;  ///< a pass for a unit that was built wrong
  std::uint64_t failed_falsely = 0;  ///< a fail for one that was built right
  std::uint64_t not_recovered = 0;   ///< two runs after all faults had stopped the verdict was still another
};

/// What stands between verify and its link. Takes the reader behind, which outlives what is made, and a seed.
using Around =
    std::function<std::unique_ptr<host::verify::Reader>(host::verify::Reader& behind, std::uint64_t seed)>;

/// Whole verify runs of a simulated unit of `kit` over a wire with faults, until that many transactions are
/// done: one unit in two is built right, the others have a wrong strap or a wrong EDID in turns; each mix
/// lasts for some runs. Returns  false when the kit can't be loaded from the catalogue at `catalogue`.
[[nodiscard]] bool verify_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                               std::uint64_t transactions, Tally& tally, Verdicts& verdicts);

/// Whole verify runs where guards have most to do: up to a quarter of the answers damaged, another master
/// that moves a strap or resets the board and latches, midway. `around` is what verify sees of its link.
/// Returns as verify_runs().
[[nodiscard]] bool harsh_runs(const std::string& catalogue, const std::string& kit, std::uint64_t seed,
                              std::uint64_t transactions, const Around& around, Tally& tally,
                              Verdicts& verdicts);

}  // namespace tests::soak
