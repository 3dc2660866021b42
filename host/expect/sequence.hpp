#pragma once

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// The five intervals of the power sequence, the panel's limits beside the board's.
[[nodiscard]] SequenceNeed sequence_need(const model::Kit& kit);

/// What it means for this panel when the supply fails suddenly; empty when the board's file doesn't say how
/// the board behaves then.
[[nodiscard]] std::string at_loss_text(const model::Kit& kit);

}  // namespace host::expect
