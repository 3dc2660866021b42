#pragma once

#include <string>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/expect/nets/judge.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// What the kit's cables carry: the panel's worst current, the backlight's at constant power and its rail's
/// lowest voltage, shared out among the cables that bring it.
[[nodiscard]] nets::Loads cable_loads(const model::Kit& kit, const PanelLink& link,
                                      const std::vector<ExpectedFunction>& functions);

/// What drops on the way of each supply, out and back, at worst: rail at its lowest, copper at 60 °C,
/// contacts aged. Only of cables that can be followed and whose gauges are known.
[[nodiscard]] std::vector<CableDrop> cable_drops(const model::Kit& kit,
                                                 const std::vector<ExpectedFunction>& functions);

}  // namespace host::expect
