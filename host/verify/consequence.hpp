#pragma once

#include <optional>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// What a measurement tells about a function: the values of it that the reading fits.
struct Consequence {
  std::vector<model::FunctionValue> fits;  // empty: it fits none, so it tells nothing
};

/// Reads the consequence of one function, by its index in Board::functions.
///
/// A value fits when the reading, its uncertainty counted, may lie within what the board makes of that value
/// (its tolerance). When none fits so, the accepted values fit a reading that is inside the point's own
/// limits: a rail that sags within what its load takes.
///
/// Returns  nothing when the function has no consequence, or it was not measured, or the unit sleeps.
[[nodiscard]] std::optional<Consequence> consequence_of(const model::Kit& kit,
                                                        const expect::Expectation& expectation,
                                                        std::size_t function, const Snapshot& snapshot);

}  // namespace host::verify
