#pragma once

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/report/document.hpp"

namespace host::expect::sheet {

/// The board from above, one to one: its outline, every connector and every strap where the board file says
/// it is, straps in the position to set, pin 1 marked on each, a bar to check the print's scale by. Sizes of
/// connectors and straps are symbolic; pin 1 stands where it is.
[[nodiscard]] report::Drawing draw_board(const model::Kit& kit, const Expectation& expectation);

}  // namespace host::expect::sheet
