#pragma once

#include <optional>
#include <span>
#include <string>

#include "host/model/board.hpp"

namespace host::model {

/// A joint position that both rows match, as text ("BR1 1-2, S1 10"); nothing when there is none. A strap
/// that neither row names is left out.
[[nodiscard]] std::optional<std::string> shared_position(std::span<const Strap> straps,
                                                         const FunctionRow& one, const FunctionRow& other);

}  // namespace host::model
