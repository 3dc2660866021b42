#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>

#include "host/model/timing.hpp"

namespace host::signal {

/// One row of a standard's table. A border counts to the porches beside it, so that active + front + sync +
/// back is the total; of an interlaced timing the vertical figures are those of both fields together.
struct StandardTiming {
  std::uint16_t number = 0;  // DMT id or CTA video identification code
  std::int32_t pixel_clock_khz = 0;
  std::int16_t h_active = 0, h_front = 0, h_sync = 0, h_back = 0;
  std::int16_t v_active = 0, v_front = 0, v_sync = 0, v_back = 0;
  model::Polarity h_polarity = model::Polarity::kPositive;
  model::Polarity v_polarity = model::Polarity::kPositive;
  bool interlaced = false;
};

/// DMT ids 01h..58h in ascending order.
/// Source  VESA Display Monitor Timing 1.0 rev 12 (01h..56h) and rev 13.
[[nodiscard]] std::span<const StandardTiming> dmt_timings();

/// CTA-861 video identification codes 1..127 and 193..219 in ascending order, at their whole rates (60 Hz,
/// not 59.94). Codes with repeated pixels carry the clock and the pixels of the link.
/// Source  the lists of two independent programs that agree, see tests/vectors/timings.md.
[[nodiscard]] std::span<const StandardTiming> cta_timings();

/// Timings older than the standards that an EDID can still name, numbered from 1: 720x400 at 70 and 88 Hz,
/// 640x480 at 67, 832x624 at 75, 1152x870 at 75. Source  the established timings that have no DMT id, see
/// tests/vectors/timings.md.
[[nodiscard]] std::span<const StandardTiming> legacy_timings();

/// The other rate of a CTA code, where it has one: a rate that is a multiple of 6 Hz also runs at 1000/1001
/// of it. A row listed at 59.94 Hz gets its whole rate.
[[nodiscard]] std::optional<model::Timing> at_other_rate(const StandardTiming& cta_row);

/// A row as a timing.
[[nodiscard]] model::Timing to_timing(const StandardTiming& row);

}  // namespace host::signal
