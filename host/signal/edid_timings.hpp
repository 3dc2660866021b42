#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "host/signal/edid.hpp"

namespace host::signal {

/// A timing an EDID lists, in whatever form.
struct ListedTiming {
  std::string name;  // "detailed 1280 x 800", "established dmt 04h", "standard 1280 x 720 @ 60 Hz", "cta 16"
  model::Timing timing;
  std::size_t offset = 0;  // of what lists it, from the first byte of the EDID
};

/// A two-byte code of a standard timing.
struct StandardCode {
  int columns = 0, lines = 0, rate_hz = 0;
};

/// What a two-byte code says; none for an unused one (0101h) and one that isn't valid (first byte 0).
/// Source: EDID 1.3 and 1.4, 3.9.
[[nodiscard]] std::optional<StandardCode> standard_code(std::uint16_t code);

/// The timing of a standard code: the DMT one of that size and rate without reduced blanking, else CVT for
/// EDID 1.4 and GTF before. None when no formula has it.
[[nodiscard]] std::optional<model::Timing> timing_of(const StandardCode& code, int revision);

/// A code of a video data block.
struct VideoCode {
  int code = 0;
  bool native = false;
};

/// What a byte of a video data block says; none for 0, 128, 254 and 255, which are reserved.
[[nodiscard]] std::optional<VideoCode> video_code(std::uint8_t byte);

/// Every timing that an EDID lists, in the order of its bytes; codes that name no known timing are left out.
[[nodiscard]] std::vector<ListedTiming> listed_timings(const Edid& edid);

}  // namespace host::signal
