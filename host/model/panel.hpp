#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "host/model/about.hpp"
#include "host/model/connector.hpp"
#include "host/model/quantity.hpp"

namespace host::model {

/// Order of the choices of panel_link.mapping on the wire.
enum class Mapping { kRgb18, kVesa24, kJeida24, kVesa30, kJeida30 };
enum class DimmingSense { kHighIsBrighter, kLowIsBrighter };
enum class DimmingKind { kPwm, kAnalogue };
enum class LightKind { kLed, kCcfl };  // kCcfl: behind an inverter of some hundred volts
enum class LinkKind { kLvds, kEdp };
enum class Shape { kRectangle, kCircle, kMask };
enum class Unlit { kBlack, kWhite };              // what it shows with light but no data
enum class OpenEnable { kOff, kOn, kUndefined };  // what the driver does with an open enable wire
enum class Sync { kDeOnly, kSyncs };

[[nodiscard]] std::string_view to_text(Mapping mapping);     // "jeida-24"
[[nodiscard]] std::string_view to_text(DimmingSense sense);  // "high-is-brighter"
/// Rates a lane of eDP may have, rising. Source  VESA eDP 1.4b and DP 1.4: 1.62 to 8.1 Gbit/s.
[[nodiscard]] std::span<const KilobitsPerSecond> edp_lane_rates();
/// What lanes of a rate carry of pixels each second: 8 of 10 bits on the wire are data.
[[nodiscard]] KilobitsPerSecond edp_payload(int lanes, KilobitsPerSecond rate);
[[nodiscard]] int bits_per_pixel(Mapping mapping);  // 18, 24, 30

/// An LCD panel as its datasheet describes it.
struct Panel {
  struct Glass {
    Micrometres width, height;  // active area
    Pixels columns, lines;
    Shape shape = Shape::kRectangle;
    Unlit unlit = Unlit::kBlack;
  };
  struct Window {
    Pixels x, y;  // of the upper left corner of what is shown, in the raster
  };
  struct Signal {
    Pixels raster_columns, raster_lines;  // what its timing controller takes
    std::optional<Window> window;         // present when it shows only a part of the raster
    Bounds<Hertz> pixel_clock;            // all channels together
    Bounds<Pixels> h_total, v_total;
    Bounds<Millihertz> refresh;
    Sync sync = Sync::kDeOnly;
  };
  struct Link {
    LinkKind kind = LinkKind::kLvds;
    int channels = 1;                            // of LVDS; the lanes of eDP
    std::optional<KilobitsPerSecond> lane_rate;  // of eDP, present then only
    Mapping mapping = Mapping::kVesa24;          // of eDP only its depth means anything
    std::string connector;                       // family of the connector, as in `connectors`
  };
  struct Supply {
    Bounds<Millivolts> voltage;  // min and max always present
    Millivolts absolute_max;
    Milliamps idle, black, white, worst, inrush;
  };
  struct Enable {
    Millivolts on_above, off_below;
    std::optional<Millivolts> max;
    OpenEnable open = OpenEnable::kOff;
  };
  struct Dimming {
    DimmingKind by = DimmingKind::kPwm;
    DimmingSense sense = DimmingSense::kHighIsBrighter;
    Bounds<Hertz> frequency;  // of PWM; empty when analogue
    Bounds<PartsPerMillion> duty;
    Bounds<Millivolts> range;  // analogue: darkest to brightest, or the other way round as `sense` has it
  };
  struct Backlight {
    LightKind kind = LightKind::kLed;
    Bounds<Millivolts> supply;  // min and max always present
    Millivolts absolute_max;
    Milliwatts power;  // at full brightness, at the driver's input
    Enable enable;
    Dimming dimming;
    std::string connector;
  };
  struct Sequence {
    Bounds<Microseconds> supply_rise, supply_to_signal, signal_to_light, light_to_no_signal, rest;
  };

  About about;
  Glass glass;
  Signal signal;
  Link link;
  Supply supply;
  Backlight backlight;
  Sequence sequence;
  std::vector<Connector> connectors;
};

}  // namespace host::model
