#pragma once

#include <cstdint>
#include <optional>

#include "host/link/link_error.hpp"
#include "host/model/board.hpp"
#include "host/verify/reader.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

struct AcquireOptions {
  std::uint8_t address = 1;                   // of the unit, for the snapshot's own words
  std::uint16_t owner = 1;                    // a random word: whoever latched last is told by it
  std::optional<std::uint16_t> edid_input{};  // index of the input whose EDID is read too
  const model::Board* foreign = nullptr;      // a board that keeps to no profile, read by its own file
  bool serial_named = false;                  // the judgement will be told which serial number to demand
};

/// Takes one snapshot of one unit.
///
/// Identifies the unit, latches, reads the packed image as far as it goes, and reads generation, owner and
/// boot number again at the end; a set that another latch or a restart fell into is read again, three times
/// at most. Once the line has shown a bad frame the image is read in short blocks, twice, and has to agree. A
/// unit that can't latch is read live between two looks at its boot number and change counter, and without
/// those twice over. Then the EDID of one input, where it is asked for and the unit has files: a block, and
/// another where the first announces one. It is no part of the latched set.
///
/// A foreign board is asked who it is, as far as it can tell, and read where its file says; it is never
/// written to, and its EDID isn't asked for. What it doesn't tell (a serial number) stays empty.
///
/// A port that went away and came back may have another unit behind it, which is then read from the
/// beginning: another serial number than before is `trouble`, and so is one where none had been said before,
/// unless it was named beforehand.
///
/// Returns  a snapshot; one that broke off midway says so in `trouble` and keeps what was read.
/// Errors   those of link::Session before anything was known of the unit, and `cancelled` at any time.
///          `senseless` with exit code 65 when the unit has another major version of the profile, or none; of
///          a foreign board when it has the profile, or none of the registers.
[[nodiscard]] link::Result<Snapshot> acquire(Reader& reader, const AcquireOptions& options);

}  // namespace host::verify
