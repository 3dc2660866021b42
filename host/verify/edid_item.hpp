#pragma once

#include <optional>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/verify/point_items.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// Holds the EDID that was read against the kit: whether its octets are whole, and which timing a source left
/// to itself chooses from it. The item and its finding are called "edid." and the input.
///
/// A finding of severity fault is a mismatch; one of severity warning is a match with a finding, as damage is
/// that leaves the choice as it should be. Checksums that are wrong on a line that has shown bad frames tell
/// of the line as well, so the EDID counts as not read. Required when it was read, or there is one that could
/// not be; a unit that has no such file, or whose board speaks no profile, tells nothing of its EDID and
/// needn't.
///
/// Returns  nothing when the board hasn't the kit's input.
/// Source   as host/signal's read_edid and source_choice.
[[nodiscard]] std::optional<JudgedPoint> judge_edid_read(const model::Kit& kit,
                                                         const expect::Expectation& expectation,
                                                         const Snapshot& snapshot);

}  // namespace host::verify
