#pragma once

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// Reads the live blocks of a unit that has no latch into `snapshot`: its points and their consistency.
/// `bracketed` when boot number and change counter were the same before and after, `loose` when it has
/// neither and two rounds agreed, else `torn`. On a line that has shown a bad frame `bracketed` needs two
/// rounds that agree, too. Blocks are planned for least time; a group the unit doesn't have costs one
/// request.
///
/// Errors   as Reader, but for kRefused.
[[nodiscard]] link::Result<void> read_live(Reader& reader, Snapshot& snapshot);

}  // namespace host::verify
