#pragma once

#include <vector>

#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// What stands in the way of a verdict, whatever was read.
struct Circumstances {
  std::vector<model::Finding> findings;
  bool no_ground = false;  // the line, the unit or its death: incomplete before all else
  bool not_whole = false;  // the snapshot is not acceptable: no pass
};

/// Looks at how the snapshot came about: line gate, serial number, whether the unit lived through it, and
/// whether its readings are of one moment.
[[nodiscard]] Circumstances look_at_circumstances(const model::Kit& kit, const Snapshot& snapshot,
                                                  const Demands& demands);

}  // namespace host::verify
