#pragma once

#include <optional>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// What each function of the board must evaluate to for this kit, in the order of Board::functions; one whose
/// rows give nothing that fits has no accepted values.
[[nodiscard]] std::vector<ExpectedFunction> expected_functions(const model::Kit& kit);

/// The voltage that a supply function is to be set to; nothing when the board has no such function or no row
/// of it fits.
[[nodiscard]] std::optional<model::Millivolts> chosen_voltage(const std::vector<ExpectedFunction>& functions,
                                                              model::FunctionId id);

/// Is a fixed or strapped rail within what its load takes, its tolerance counted?
[[nodiscard]] bool fits(const model::Kit& kit, const model::Rail& rail, model::Millivolts choice,
                        const model::Bounds<model::Millivolts>& window);

/// Is a level of the enable line, its tolerance counted, what the backlight takes for on?
[[nodiscard]] bool enables(const model::Kit& kit, model::Millivolts level);

/// The raster row the panel needs.
[[nodiscard]] model::RasterRow needed_raster(const model::Panel& panel);

}  // namespace host::expect
