#pragma once

#include "host/link/link_error.hpp"
#include "host/link/session.hpp"
#include "host/model/board.hpp"
#include "host/verify/reader.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// Tells a session what `board` can do: how it is proven free of old answers where it has no function 08, and
/// where it may be read at any time. A board of this project's profile may be latched besides, which is all
/// that a verification writes, and has a serial number to tell it from another of its address.
void suit(link::SessionOptions& options, const model::Board& board);

/// Who a board that keeps to no profile says it is, into `snapshot`: model and firmware of its basic
/// identification, and identity.board where the file says what its product is called: the file's id when it
/// is called so, else what it calls itself. A board that refuses to identify itself says nothing.
///
/// Errors   as Reader, but for kRefused; `senseless`, exit code 65, when a unit of this project's profile
///          answers.
/// Source   MODBUS AP V1.1b3, 6.21 (objects 00h to 06h).
[[nodiscard]] link::Result<void> identify_foreign(Reader& reader, const model::Board& board,
                                                  Snapshot& snapshot);

/// Reads the points of a board that keeps to no profile, from where its file says they are, in the reads that
/// take least; nothing is written. What the board refuses to read it doesn't have. Consistency as
/// read_in_rounds().
///
/// Errors   as Reader, but for kRefused; `senseless`, exit code 65, when it has none of its registers.
[[nodiscard]] link::Result<void> read_foreign(Reader& reader, const model::Board& board, Snapshot& snapshot);

}  // namespace host::verify
