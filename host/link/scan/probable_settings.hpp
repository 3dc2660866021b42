#pragma once

#include <vector>

#include "host/link/line_settings.hpp"
#include "host/link/url.hpp"

namespace host::link::scan {

/// How a serial line may be set, the most probable first; what `link` states isn't tried otherwise.
/// Source  MODBUS over Serial Line V1.02, 2.5.1 (19200 8E1 is the default, 9600 and 8N2 are common); the
///         board files (115200); the rest common practice, no source.
[[nodiscard]] std::vector<LineSettings> probable_settings(const SerialLink& link);

}  // namespace host::link::scan
