#pragma once

#include <optional>
#include <vector>

#include "host/expect/straps.hpp"
#include "host/model/board.hpp"
#include "host/verify/consequence.hpp"

namespace host::verify {

/// What measured consequences say about straps.
struct Inference {
  /// One entry a strap: the positions it can have where some measurement narrows them down, else nothing.
  /// Only of straps whose position isn't known.
  std::vector<std::optional<std::vector<model::Position>>> possible;
  /// One entry a function: no position of the unknown straps explains both the known straps and the reading.
  std::vector<bool> contradicted;
};

/// Narrows the unknown straps down by what was measured: `consequences` is parallel to Board::functions.
/// A function whose unknown straps have more than 65536 joint positions narrows nothing.
[[nodiscard]] Inference infer(const model::Board& board, const expect::JointPosition& known,
                              const std::vector<std::optional<Consequence>>& consequences);

}  // namespace host::verify
