#pragma once

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// A verification as people read it at a bench: dangers, straps that stand wrong drawn as expected beside as
/// read, every item, findings with consequence and remedy, coverage, and last verdict, why and what next.
[[nodiscard]] report::Document to_document(const model::Kit& kit, const expect::Expectation& expectation,
                                           const Snapshot& snapshot, const Judgement& judgement);

/// A verification as programs read it: schema "strapline/verify/1", verify.schema.json. A part that is not
/// known is absent.
[[nodiscard]] report::json::Value to_json(const model::Kit& kit, const Snapshot& snapshot,
                                          const Judgement& judgement);

}  // namespace host::verify
