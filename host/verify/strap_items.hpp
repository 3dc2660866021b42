#pragma once

#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// What was found about straps and what they select.
struct JudgedStraps {
  std::vector<Item> straps;     // parallel to Board::straps
  std::vector<Item> functions;  // one for each function the kit uses
  std::vector<model::Finding> findings;
};

/// Holds every strap by itself, and every function that the kit uses over its straps jointly.
///
/// A strap is known as sensed, as it stood at reset, as declared, as attested where the kit accepts that, or
/// inferred: when every position that explains what was measured is one that the kit accepts. A function that
/// can destroy a part counts only when its consequence was measured and fits. A finding names the strap when
/// exactly one stands wrong, else the function with its straps.
[[nodiscard]] JudgedStraps judge_straps(const model::Kit& kit, const expect::Expectation& expectation,
                                        const Snapshot& snapshot, const Demands& demands);

}  // namespace host::verify
