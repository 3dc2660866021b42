#pragma once

#include <vector>

#include "host/expect/wire/gauge.hpp"

namespace host::expect::wire {

/// One contact, aged: 10 to 20 mΩ new, 20 to 40 mΩ aged (common practice).
inline constexpr Microhms kContact{20'000};

/// Copper inside a closed unit: 60 °C (common practice).
inline constexpr model::Millidegrees kInside{60'000};

/// Wires side by side, each with a contact at both of its ends; 0 when there is none. Rounded up.
/// Precondition: every wire and the contact together are above 0.
[[nodiscard]] Microhms side_by_side(const std::vector<Microhms>& wires, Microhms contact);

/// What a current drops, rounded up.
[[nodiscard]] model::Millivolts drop(model::Milliamps current, Microhms resistance);

/// What is left at a load of constant power: (V + sqrt(V² - 4 R P)) / 2, rounded down; 0 when the way can't
/// carry the power at all.
[[nodiscard]] model::Millivolts at_load(model::Millivolts source, model::Milliwatts power,
                                        Microhms resistance);

}  // namespace host::expect::wire
