#pragma once

#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// An item and what was found about it.
struct JudgedPoint {
  Item item;
  std::vector<model::Finding> findings;  // at most one: the gravest limit that is broken
};

/// Holds one point against what it must read.
///
/// A reading wholly outside a limit of severity fault or danger is a mismatch, outside a warning's limit a
/// match with a finding. What needs the unit awake is unread while it sleeps, except a reading above a limit
/// whose breach is a danger: that is as dangerous asleep.
[[nodiscard]] JudgedPoint judge_point(const model::Kit& kit, const expect::ExpectedPoint& expected,
                                      const Snapshot& snapshot);

}  // namespace host::verify
