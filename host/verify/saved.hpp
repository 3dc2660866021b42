#pragma once

#include <string>

#include <tl/expected.hpp>

#include "host/report/json/value.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// The readings that a document of to_json() keeps, to be judged as if they had been read just now. A
/// document is no more than its file says: whoever can write that can write any reading.
///
/// Returns  the snapshot, `taken_with` the kit of the first judgement. Points of a newer minor version of the
///          profile are left out, as over a line; so is every verdict.
/// Errors   another schema, another major version; a part that is missing, unknown, of another kind, or has a
///          value that no unit can have read: one clean sentence that names it.
[[nodiscard]] tl::expected<Snapshot, std::string> saved_snapshot(const report::json::Value& document);

}  // namespace host::verify
