#pragma once

#include "host/model/kit.hpp"
#include "host/signal/lvds_slots.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::eye {

/// The wiring of a kit's LVDS link, pin by pin: which pair of the board each input of the panel is on,
/// through the cable that mates with both. Without such a cable, or where the panel's connector names no
/// pairs, every pair goes to its namesake. Nets are named A0- .. D4+ and ACLK- .. DCLK+. Precondition: the
/// panel's link is LVDS, of 1, 2 or 4 channels.
[[nodiscard]] host::signal::LinkPath wired(const host::model::Kit& kit);

/// The same with what is wrong with the cable.
[[nodiscard]] host::signal::LinkPath wired(const host::model::Kit& kit, const unit::Wrongs& wrongs);

}  // namespace sim::eye
