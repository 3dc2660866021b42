#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "host/model/kit.hpp"
#include "host/signal/lvds_slots.hpp"
#include "sim/fault/fault.hpp"

namespace sim::eye {

/// What the picture shows. kMessage: the board's own few words, drawn over black.
enum class Content { kCard, kBlack, kMessage };

/// What comes out of the source.
struct Source {
  Content content = Content::kCard;
  std::string_view words = "NO SIGNAL";              // of a message; from a literal
  fault::ColourForm form = fault::ColourForm::kRgb;  // of its pixels; the board takes them as rgb
  int columns = 0, lines = 0;                        // of its raster
  int wanted_columns = 0, wanted_lines = 0;          // of the raster that the kit wants of it
  friend bool operator==(const Source&, const Source&) = default;
};

/// What the scaler sends.
struct Driven {
  int columns = 0, lines = 0;
  int h_total = 0, v_total = 0;  // with blanking
  double hertz = 0;              // of all channels' pixels together
  int channels = 1;
  int bits = 8;  // of a colour that the scaler hands on; lower ones are zero
  host::model::Mapping mapping{};
  friend bool operator==(const Driven&, const Driven&) = default;

  [[nodiscard]] double refresh_hz() const {
    return h_total > 0 && v_total > 0 ? hertz / h_total / v_total : 0;
  }
};

/// The wires between scaler and panel.
struct Wires {
  bool lanes = false;             // of eDP: no clock, nothing arrives unless all lanes do
  bool lanes_whole = true;        // every lane arrives, none reversed
  host::signal::LinkPath path{};  // of LVDS, with everything wrong in it
  double flips = 0;               // share of bits that arrive wrong
  double flips_touched = 0;       // the same while someone moves the cable
  friend bool operator==(const Wires& a, const Wires& b) {
    return a.lanes == b.lanes && a.lanes_whole == b.lanes_whole && a.flips == b.flips &&
           a.flips_touched == b.flips_touched && a.path.channels == b.path.channels &&
           a.path.at == b.path.at && a.path.clock_open == b.path.clock_open &&
           a.path.clock_reversed == b.path.clock_reversed && a.path.open_reads_high == b.path.open_reads_high;
  }
};

/// The panel as it wants to be driven.
struct Panel {
  int columns = 0, lines = 0;               // of the raster it takes
  int x = 0, y = 0, width = 0, height = 0;  // what it shows of that
  bool round = false;
  bool shows_white = false;  // where its glass relaxes
  bool syncs = false;        // needs them beside the data enable
  int channels = 1;
  host::model::Mapping mapping{};
  host::model::Bounds<host::model::Hertz> clock;
  host::model::Bounds<host::model::Pixels> h_total, v_total;
  host::model::Bounds<host::model::Millihertz> refresh;
  std::string title;  // what the card says of it
  friend bool operator==(const Panel&, const Panel&) = default;
};

/// What is behind the panel's pins, as it stands.
struct Glass {
  bool running = false;    // its electronics
  double bias = 1;         // of the voltages that turn the liquid crystal, 0..1
  bool reversed = false;   // scanned from right to left
  bool line_open = false;  // one column reaches no driver
  double residue = 0;      // of a picture that has stood there before, 0..1
  double degrees = 25;
  friend bool operator==(const Glass&, const Glass&) = default;
};

/// What comes from behind the glass.
struct Light {
  bool lit = false;
  double share = 0;          // of full brightness as the driver is asked for it, 0..1
  double wanted = 1;         // the same as the kit wants it
  double duty = 1;           // of its pulses
  double hertz = 0;          // of its pulses; 0: it is steady
  int strings_dark = 0;      // of kStrings
  double lamp = 1;           // what a lamp still gives, of a new one's
  std::vector<double> knob;  // share at 0, 5, … 100 % of the brightness setting; empty: nobody has tried
  friend bool operator==(const Light&, const Light&) = default;
};
inline constexpr int kStrings = 4;

/// Everything that decides what a person sees at one moment.
struct Scene {
  Source source;
  Driven driven;
  bool data = false;  // the link sends, and its cable is in
  Wires wires;
  Panel panel;
  Glass glass;
  Light light;
  friend bool operator==(const Scene&, const Scene&) = default;
};

}  // namespace sim::eye
