#pragma once

#include "sim/eye/scene.hpp"
#include "sim/unit/unit.hpp"

namespace sim::eye {

/// What there is to be seen of a unit now, by its circuit, its firmware's outputs and what is wrong with it.
/// Nothing is counted and nothing changes.
[[nodiscard]] Scene scene_of(const unit::Unit& unit);

}  // namespace sim::eye
