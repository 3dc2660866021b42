#pragma once

#include <cstdint>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "sim/unit/spread.hpp"

namespace sim::unit {

/// The intervals a board's firmware keeps for its panel.
struct SequencePlan {
  protocol::base::Duration supply_to_signal{};  // from the end of the rail's ramp
  protocol::base::Duration signal_to_light{};
  protocol::base::Duration light_to_no_signal{};
  protocol::base::Duration rest{};
};

/// From the middle of what the panel's data sheet allows: its typical time, else the middle of its limits,
/// else a quarter above the least or half of the most. Within kEdge anywhere that both the panel and the
/// board allow, by seed.
[[nodiscard]] SequencePlan sequence_plan(const host::model::Kit& kit, std::uint64_t seed, Within within);

}  // namespace sim::unit
