#pragma once

#include <cstdint>
#include <vector>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"

namespace host::verify {

/// Reads the EDID that a unit holds for the input of this index: file 16 + index of the profile, two octets a
/// register, the first in the high octet. One block of 128 octets, and a second where the first announces
/// more, each at once, or in pieces on a line that has shown bad frames; no two reads in a row have one
/// length, so that neither is taken for the other.
///
/// Returns  128 or 256 octets as they came, checked for nothing; none where the unit has no such file.
/// Errors   as Reader; kRefused only where the unit has the file and can't read it (exceptions past 03).
/// Source   AP V1.1b3, 6.14 (files) and 7 (exceptions); VESA Enhanced EDID Standard A2, 3.11 (octet 126
/// counts the extensions).
[[nodiscard]] link::Result<std::vector<std::uint8_t>> read_edid(Reader& reader, std::uint16_t input);

}  // namespace host::verify
