#pragma once

#include <cstddef>
#include <vector>

#include "host/expect/straps.hpp"
#include "host/model/board.hpp"

namespace host::expect {

/// Indexes of the straps that any row of the function names, ascending.
[[nodiscard]] std::vector<std::size_t> straps_of(const model::Function& function);

/// Does the row hold at a joint position? A strap that is not known doesn't match anything named.
[[nodiscard]] bool matches(const model::FunctionRow& row, const JointPosition& joint);

/// Can caps stand so? No pin carries two, and nothing lies outside the strap.
[[nodiscard]] bool possible(const model::Strap& strap, model::Position position);

}  // namespace host::expect
