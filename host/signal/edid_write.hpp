#pragma once

#include <cstdint>
#include <vector>

#include <tl/expected.hpp>

#include "host/signal/edid.hpp"

namespace host::signal {

/// Writes an EDID: the base block and its extensions, each with its checksum.
///
/// Errors   every value that doesn't fit its field (kValueTooLarge), with the offset of the part it belongs
/// to.
[[nodiscard]] tl::expected<std::vector<std::uint8_t>, std::vector<EdidFault>> write_edid(const Edid& edid);

}  // namespace host::signal
