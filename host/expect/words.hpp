#pragma once

#include <cstdint>
#include <string>

#include "host/expect/expectation.hpp"
#include "host/model/strap.hpp"

namespace host::expect {

/// Bits of a strap that make a difference: those some accepted position may not flip.
[[nodiscard]] std::uint16_t bits_that_matter(const model::Strap& strap, const ExpectedStrap& expected);

/// The position to set, a bank's with x for the ways that don't matter; "any", "none suits".
[[nodiscard]] std::string set_text(const model::Strap& strap, const ExpectedStrap& expected);

/// Accepted positions beside the one to set: "or 1100, 0101"; empty when there are none. Those that an x of
/// set_text stands for aren't told again.
[[nodiscard]] std::string others_text(const model::Strap& strap, const ExpectedStrap& expected);

/// What depends on the strap: "panel-supply, keypad-power", "nothing".
[[nodiscard]] std::string functions_text(const ExpectedStrap& expected);

/// What a point must read, with its unit: "3135..3465 mV", "vesa-24", "yes".
[[nodiscard]] std::string limits_text(const ExpectedPoint& expected);

/// "loaded", "none", "fixed"; "given" for one that was handed over.
[[nodiscard]] std::string_view origin_text(const SourceView& source);

}  // namespace host::expect
