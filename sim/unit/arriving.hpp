#pragma once

#include <cstddef>
#include <optional>

#include "host/model/kit.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

/// What comes in at the selected input.
struct Arriving {
  bool cable = false;    // 5 V of a source
  bool hot_plug = true;  // the line as it stands at the connector
  std::optional<host::model::Timing> timing;
  bool scrambled = false;  // protected: timing and no content
  fault::ColourForm form = fault::ColourForm::kRgb;
  friend bool operator==(const Arriving&, const Arriving&) = default;
};

/// A source as it is plugged in.
struct Plugged {
  std::optional<host::model::Timing> timing;  // what it was told to send; nothing: no source
  std::size_t input = 0;
};

/// What a source makes of the unit it is plugged into.
///
/// It sends what it was told to. Without hot-plug it sends nothing. It believes an EDID that isn't this
/// unit's own: with a broken one it falls back to 640 x 480 at 60 Hz, with another panel's to that panel's
/// raster. Source  VESA Enhanced EDID Standard A2, 2.2.4 (what a source does without a valid EDID); common
/// practice.
[[nodiscard]] Arriving arriving(const host::model::Kit& kit, const Wrongs& wrongs, const Plugged& plugged,
                                std::size_t selected, const std::optional<host::model::Panel>& edid_panel);

/// The raster a panel wants: its own figures, typical or the least that they allow.
[[nodiscard]] host::model::Timing timing_of(const host::model::Panel& panel);

}  // namespace sim::unit
