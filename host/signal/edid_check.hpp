#pragma once

#include <vector>

#include "host/signal/edid.hpp"

namespace host::signal {

/// Judges what the values of an EDID say together: version, maker, date, size, colours, the order and number
/// of descriptors, limits that contain every listed mode, standard timings, data blocks, and what HDMI asks
/// for. What is wrong with the bytes themselves is told by read_edid.
///
/// Returns  everything found, by offset; a fault breaks the standard, a warning what is recommended.
/// Source   VESA Enhanced EDID Standard, Release A, Rev. 2, 3.4 to 3.11; CTA-861 for its extension.
[[nodiscard]] std::vector<EdidFault> check_edid(const Edid& edid);

}  // namespace host::signal
