#include "sim/fault/kind.hpp"

#include <array>

namespace sim::fault {
namespace {

using enum Part;

constexpr std::array<Words, kKindCount> kWords = {{
    {"supply-dead", kSupply, Form::kNone, "", "the supply gives nothing"},
    {"supply-low", kSupply, Form::kVolts, "V", "the supply gives this voltage"},
    {"supply-brownout", kSupply, Form::kNone, "",
     "the supply dips every three seconds, longer than the board holds up"},
    {"supply-reversed", kSupply, Form::kNone, "", "plus and minus are exchanged: the input's diode blocks"},
    {"panel-fuse-open", kPanelRail, Form::kNone, "", "the fuse of the panel rail has blown"},
    {"panel-rail-short", kPanelRail, Form::kNone, "",
     "the panel rail is shorted to ground behind its switch"},
    {"panel-rail-low", kPanelRail, Form::kVolts, "V",
     "the panel rail's converter makes this voltage at most"},
    {"panel-rail-weak", kPanelRail, Form::kMilliamps, "MA",
     "the panel rail's source gives this current at most"},
    {"panel-rail-stays-on", kPanelRail, Form::kNone, "",
     "the panel rail's switch conducts whatever it is told"},
    {"panel-supply-contact-open", kPanelRail, Form::kNone, "",
     "the supply contacts of the panel's plug don't touch"},
    {"panel-cable-out", kPanel, Form::kNone, "", "the panel's cable is unplugged: neither supply nor data"},
    {"panel-cable-marginal", kPanel, Form::kNone, "",
     "bits flip on the panel's cable, the more so when touched"},
    {"panel-pair-open", kPanel, Form::kPairOrClock, "N|clock",
     "a data or clock pair of the panel's cable is open"},
    {"panel-pair-reversed", kPanel, Form::kPair, "N", "the two wires of a data pair are exchanged"},
    {"panel-channels-swapped", kPanel, Form::kNone, "", "first and second channel are exchanged"},
    {"panel-logic-dead", kPanel, Form::kNone, "", "the panel's own electronics are destroyed"},
    {"panel-bias-dead", kPanel, Form::kNone, "", "the panel makes no voltages for its glass"},
    {"panel-line-open", kPanel, Form::kNone, "", "a column driver has come off the glass"},
    {"panel-clock-off", kPanel, Form::kSignedPercent, "PCT", "the board's link clock is off by this much"},
    {"panel-blanking-short", kPanel, Form::kNone, "", "the board leaves the panel too short a blanking"},
    {"scan-direction-reversed", kPanel, Form::kNone, "",
     "the panel's scan direction pin stands at the wrong level"},
    {"backlight-cable-out", kLight, Form::kNone, "", "the backlight's cable is unplugged"},
    {"backlight-supply-open", kLight, Form::kNone, "", "the fuse of the backlight rail has blown"},
    {"backlight-supply-low", kLight, Form::kVolts, "V",
     "the backlight rail's source makes this voltage at most"},
    {"backlight-enable-stuck", kLight, Form::kLevel, "LEVEL",
     "the enable line hangs at low, high or a voltage"},
    {"enable-polarity-inverted", kLight, Form::kNone, "", "the enable line is driven the wrong way round"},
    {"dimming-polarity-inverted", kLight, Form::kNone, "", "the dimming line is driven the wrong way round"},
    {"backlight-driver-dead", kLight, Form::kNone, "", "the backlight driver is destroyed"},
    {"backlight-string-open", kLight, Form::kNone, "", "one string of the backlight's four is open"},
    {"lamp-worn", kLight, Form::kNone, "", "the lamps are at the end of their life (CCFL only)"},
    {"pwm-stuck", kLight, Form::kPercent, "PCT", "the dimming line's duty stays at this share"},
    {"pwm-frequency", kLight, Form::kHertz, "HZ", "the dimming line runs at this frequency"},
    {"dimmed-by-sensor", kLight, Form::kNone, "", "the ambient light sensor is covered: the board dims"},
    {"no-signal", kSource, Form::kNone, "", "the source sleeps: its cable is in and nothing comes"},
    {"wrong-input", kSource, Form::kNone, "", "the source is plugged into another input"},
    {"hotplug-low", kSource, Form::kNone, "", "the hot-plug line stays low: the source sees no display"},
    {"source-out-of-range", kSource, Form::kTiming, "TIMING", "the source is made to send this raster"},
    {"source-protected", kSource, Form::kNone, "", "the source encrypts and finds no partner"},
    {"edid-corrupt", kSource, Form::kNone, "", "the board's EDID memory has a wrong octet"},
    {"edid-of", kSource, Form::kPanel, "PANEL", "the board answers with the EDID of this panel"},
    {"colour-space", kSource, Form::kColour, "FORM",
     "the source sends rgb, ycbcr-444, ycbcr-422 or ycbcr-420"},
    {"overheat", kBoard, Form::kDegrees, "C", "the board's surroundings bring it to this temperature"},
    {"keypad-open", kBoard, Form::kNone, "", "the keypad's cable is unplugged"},
    {"keypad-stuck", kBoard, Form::kKey, "KEY", "a key, counted from 1, is held down for good"},
    {"sequence-fast-backlight", kBoard, Form::kNone, "", "the board lights up 5 ms after the link"},
    {"sense-stuck", kBoard, Form::kStrap, "STRAP", "a strap's sense lines are stuck"},
    {"bridge-doubled", kBoard, Form::kStrap, "STRAP",
     "a jumper carries a second cap, which ties nets together"},
    {"strap-moved-live", kBoard, Form::kStrap, "STRAP",
     "someone moves a strap to its next row while the unit runs"},
    {"reading-off", kBoard, Form::kPointAndPercent, "POINT,PCT",
     "the measuring channel of this point has a gain error"},
    {"settings-lost", kBoard, Form::kNone, "", "the settings memory has lost its charge"},
    {"settings-of", kBoard, Form::kKit, "KIT", "the settings memory holds what this kit wants"},
    {"soft-off", kBoard, Form::kNone, "", "someone has switched the unit off by its key"},
    {"serial-silent", kLine, Form::kNone, "", "the unit's transmitter is dead"},
    {"serial-swapped", kLine, Form::kNone, "", "the two wires of its serial line are exchanged"},
    {"serial-settings", kLine, Form::kSerial, "FORMAT", "its port is set otherwise, as 9600-8N1"},
    {"address-clash", kLine, Form::kNone, "", "another unit of the same address is on its line"},
}};

}  // namespace

std::span<const Words, kKindCount> all_words() {
  return kWords;
}

const Words& words(Kind kind) {
  return kWords[static_cast<std::size_t>(kind)];
}

std::string_view name(Kind kind) {
  return words(kind).name;
}

std::optional<Kind> find(std::string_view wanted) {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i].name == wanted) return static_cast<Kind>(i);
  }
  return std::nullopt;
}

std::string_view heading(Part part) {
  switch (part) {
    case kSupply: return "supply";
    case kPanelRail: return "panel rail";
    case kPanel: return "panel and its cable";
    case kLight: return "light";
    case kSource: return "source";
    case kBoard: return "board";
    case kLine: return "line";
  }
  return {};
}

}  // namespace sim::fault
