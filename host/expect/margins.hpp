#pragma once

#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// Every figure of timing and link beside the limits of panel, board and input, in that order. What nothing
/// limits is left out.
[[nodiscard]] std::vector<Margin> margins(const model::Kit& kit, const model::Timing& timing,
                                          const PanelLink& link);

/// Distance to the nearer bound in permille of the value, rounded down; negative outside.
/// Precondition: value > 0 and at least one bound.
[[nodiscard]] std::int64_t margin_permille(std::int64_t value, const model::Bounds<std::int64_t>& bounds);

}  // namespace host::expect
