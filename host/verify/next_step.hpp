#pragma once

#include <string>
#include <vector>

#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// What to do about items that a pass needs and that aren't known: one or two sentences about the first that
/// stands in the way of the most. Precondition: `open` is not empty.
[[nodiscard]] std::string next_step(const model::Kit& kit, const Snapshot& snapshot,
                                    const std::vector<const Item*>& open);

}  // namespace host::verify
