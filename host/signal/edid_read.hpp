#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "host/signal/edid.hpp"

namespace host::signal {

struct EdidReading {
  std::optional<Edid>
      edid;  // as far as it can be read: present when there is a whole base block with its header
  std::vector<EdidFault> faults;
};

/// Reads an EDID of any length and any content.
///
/// Returns  the values, and everything that is wrong with the bytes themselves: length, header, checksums,
/// number of
///          extensions, descriptors and data blocks that break their form. What the values mean together is
///          judged by check_edid. Parts that break their form are kept as they stand, so that write_edid
///          gives every whole block back, its checksum mended.
[[nodiscard]] EdidReading read_edid(std::span<const std::uint8_t> bytes);

}  // namespace host::signal
