#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "host/model/quantity.hpp"
#include "host/model/timing.hpp"
#include "host/signal/edid_make.hpp"

namespace host::signal {

/// Pixel clocks that a source can put on an interface.
/// Source   DVI 1.0 and HDMI 1.4b: a TMDS link runs from 25 MHz; one link of DVI to 165 MHz, of HDMI to 340
/// MHz.
///          VGA and DisplayPort have no such limit: DisplayPort's lanes run at rates of their own.
[[nodiscard]] model::Bounds<model::Hertz> clocks_of(EdidInterface interface);

enum class ChoiceRule {
  kPreferred,      // the first detailed timing
  kListed,         // the next in order that the source can send
  kNoEdid,         // nothing answered
  kDamaged,        // header or checksum of the base block are wrong
  kNothingListed,  // nothing listed that the source can send
};
[[nodiscard]] std::string_view to_text(ChoiceRule rule);  // "preferred"

/// The timing a source left to itself sends, and why.
struct SourceChoice {
  ChoiceRule rule = ChoiceRule::kNoEdid;
  std::string name;  // "detailed 1920 x 1080", "dmt 04h"
  model::Timing timing;
  std::string why;                             // the rule, with its source
  std::vector<std::string> passed_over;        // what stood before it and can't be sent, and why
  std::vector<model::Timing> also_possible{};  // other fallbacks that are in use, when `timing` is one
};

/// What a source chooses from an EDID, whatever its bytes hold; of no bytes, what it sends without one.
///
/// In order: the first detailed timing, which EDID 1.4 always and EDID 1.3 by a bit calls preferred; the
/// other timings of the base block that are told in full; those of the CTA-861 extension, codes before
/// timings in full; standard, then established timings. Interlaced ones are passed over while a progressive
/// one follows. Without a sound EDID: 640 x 480 at 60 Hz.
///
/// Source   VESA Enhanced EDID Standard A2, 3.10.1 (preferred timing) and 3.1, 3.11 (header, checksum);
/// CTA-861 (640 x
///          480 is in every sink of HDMI); DisplayPort Link CTS, 4.2.2.6 (640 x 480 without an EDID); Linux,
///          drm_add_modes_noedid (1024 x 768). The order after the first, and that a source reads no further
///          than a damaged base block: common practice.
[[nodiscard]] SourceChoice source_choice(std::span<const std::uint8_t> edid, EdidInterface interface);

}  // namespace host::signal
