#pragma once

#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// What the kit draws from its supply at worst: the panel's worst current and the backlight's constant power,
/// through the board's converter where their rails are regulated, the board's own power, and the
/// keypad's current from its rail. Each part is rounded up.
[[nodiscard]] SupplyNeed supply_need(const model::Kit& kit, const std::vector<ExpectedFunction>& functions);

/// The smallest size sold that is loaded to 80 % at most: 12 18 24 30 36 40 48 60 65 90 120 150 W, common
/// practice. Beyond these, exactly what that load needs.
[[nodiscard]] model::Milliwatts recommended_power(model::Milliwatts power);

/// Current of the backlight at constant power from the lowest voltage its rail can have; nothing when that
/// voltage isn't known. Rounded up.
[[nodiscard]] std::optional<model::Milliamps> light_current(const model::Kit& kit,
                                                            const std::vector<ExpectedFunction>& functions);

}  // namespace host::expect
