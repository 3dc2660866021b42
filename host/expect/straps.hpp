#pragma once

#include <optional>
#include <span>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/board.hpp"

namespace host::expect {

/// A joint position: one entry a strap of the board, in its order; empty where not known.
using JointPosition = std::vector<std::optional<model::Position>>;

/// What a function selects at a joint position.
struct Selection {
  enum class State {
    kValue,      // exactly one value, whatever the unknown straps are
    kUndefined,  // no row matches, whatever the unknown straps are
    kOpen        // depends on a strap that isn't known
  };
  State state = State::kOpen;
  std::optional<model::FunctionValue> value;         // with kValue
  std::vector<model::FunctionValue> still_possible;  // with kOpen
};

/// Evaluates one function of the board. Where more than 2^20 joint positions of unknown straps would have to
/// be looked at, every row that the known straps don't exclude counts as still possible.
[[nodiscard]] Selection select(const model::Board& board, const model::Function& function,
                               const JointPosition& joint);

/// Solves for positions: for each strap those that occur in some joint assignment which gives every used
/// function in `wanted` one of its accepted values. `position` is of the first such assignment: values in the
/// order they are preferred, then rows and patterns as written, what doesn't matter open or off.
///
/// Returns   one ExpectedStrap a strap; `accepted` is empty where nothing satisfies (a conflict, an
///           unreachable value), and the caller makes a finding of it.
/// Limits    exact up to 2^20 steps a group of straps that functions tie together; beyond, nothing is
/// accepted.
[[nodiscard]] std::vector<ExpectedStrap> solve(const model::Board& board,
                                               std::span<const ExpectedFunction> wanted);

/// What the given positions select and what that does to this kit: findings as on a unit whose straps read
/// so, even while its rails are off. Gravest first.
[[nodiscard]] std::vector<model::Finding> explain(const model::Kit& kit, const Expectation& expectation,
                                                  const JointPosition& given);

}  // namespace host::expect
