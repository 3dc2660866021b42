#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "host/signal/edid.hpp"

namespace host::signal {

enum class EdidInterface { kVga, kDvi, kHdmi, kDisplayPort };

/// What a display says of itself.
struct EdidOptions {
  std::string maker;  // three capital letters
  std::uint16_t product = 0;
  std::uint32_t serial = 0;
  std::string serial_text;          // at most 13 characters; empty: none
  int week = 0;                     // 1..54, 0: none
  int year = 0;                     // of making, 2000..2245
  bool year_is_of_model = false;    // then no week; EDID 1.4 only, so neither VGA nor HDMI
  std::string name;                 // at most 13 characters; empty: none, which VGA and HDMI don't allow
  int width_mm = 0, height_mm = 0;  // of the picture, 1..2550
  model::Timing timing;             // the one a source should choose
  std::vector<model::Timing>
      more_timings;                   // by preference; as many as there is room for beside names and limits
  std::optional<RangeLimits> limits;  // none: the narrowest around every listed timing
  bool tell_limits = true;            // VGA and HDMI always do
  EdidInterface interface = EdidInterface::kDvi;
  int bits_per_colour = 8;  // 6, 8, 10, 12, 14, 16; told by DVI and DisplayPort
  bool audio = false;       // HDMI: two channels of PCM
  std::array<int, 4> hdmi_address = {1, 0, 0, 0};
};

/// Makes an EDID: 1.4 for DVI and DisplayPort, 1.3 for VGA, and 1.3 with a CTA-861 extension and its HDMI
/// vendor block for HDMI, whose listed timings also hold 640x480 at 60 Hz. Colours are those of sRGB.
///
/// Returns  an EDID that check_edid finds nothing wrong with.
/// Errors   everything in the options that an EDID can't hold or that the standard forbids, one sentence
/// each.
[[nodiscard]] tl::expected<Edid, std::vector<std::string>> make_edid(const EdidOptions& options);

}  // namespace host::signal
