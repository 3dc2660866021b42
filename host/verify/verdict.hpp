#pragma once

#include "host/model/kit.hpp"
#include "host/verify/circumstances.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// Counts coverage, settles the verdict and the danger, and says why and what next, from the items and
/// findings that `judgement` already holds. Findings are put in order, gravest first.
void settle(Judgement& judgement, const model::Kit& kit, const expect::Expectation& expectation,
            const Snapshot& snapshot, const Circumstances& circumstances);

/// What no board can prove, so that a pass never claims it.
[[nodiscard]] std::string_view beyond_proof();

}  // namespace host::verify
