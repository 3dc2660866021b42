#pragma once

#include "sim/eye/scene.hpp"
#include "sim/unit/unit.hpp"

namespace sim::eye {

/// The light of a unit as it is now.
[[nodiscard]] Light light_of(const unit::Unit& unit);

/// What it would be if nothing had made the board warm.
[[nodiscard]] Light cool_light_of(const unit::Unit& unit);

/// Of full brightness, what a setting of `brightness` (0..1) gives: by the board's points and the sense its
/// straps select, the dimming line and the driver.
[[nodiscard]] double light_share(const host::model::Kit& kit, const unit::Wrongs& wrongs,
                                 host::model::DimmingSense board_sense, double brightness, double hertz);

}  // namespace sim::eye
