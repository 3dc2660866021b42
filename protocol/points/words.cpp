#include "protocol/points/words.hpp"

#include <array>

namespace protocol::points {
namespace {

constexpr std::array<std::string_view, 4> kResetCauseChoices = {"power", "watchdog", "command", "brown-out"};
constexpr std::array<std::string_view, 6> kPowerStateChoices = {"off",    "standby", "no-signal",
                                                                "waking", "on",      "latched"};
constexpr std::array<std::string_view, 7> kPowerReasonChoices = {"supply", "key",   "command", "no-source",
                                                                 "source", "fault", "timer"};
constexpr std::array<std::string_view, 2> kOffOnChoices = {"off", "on"};
constexpr std::array<std::string_view, 2> kNoYesChoices = {"no", "yes"};
constexpr std::array<std::string_view, 2> kLowHighChoices = {"low", "high"};
constexpr std::array<std::string_view, 5> kLimitedByChoices = {"nothing", "temperature", "ambient", "supply",
                                                               "setting"};
constexpr std::array<std::string_view, 2> kSelectionChoices = {"fixed", "scan"};
constexpr std::array<std::string_view, 2> kPolarityChoices = {"negative", "positive"};
constexpr std::array<std::string_view, 4> kColourFormChoices = {"rgb", "ycbcr-444", "ycbcr-422", "ycbcr-420"};
constexpr std::array<std::string_view, 5> kMappingChoices = {"rgb-18", "vesa-24", "jeida-24", "vesa-30",
                                                             "jeida-30"};
constexpr std::array<std::string_view, 3> kPowerOnChoices = {"off", "always", "last"};

// One table, in the order of Point: a minor version appends to its end whatever the group, so groups can't
// stand apart.
// clang-format off
constexpr std::array<Words, kPointCount> kWords = {{
    // identity
    {"identity.serial", "text", "firmware",
     "serial number of the unit", {}},
    {"identity.firmware", "text", "firmware",
     "version of the firmware", {}},
    {"identity.model", "text", "firmware",
     "model as its maker calls it", {}},
    {"identity.board", "text", "firmware",
     "id of the board file that describes this board", {}},
    {"identity.profile", "version", "firmware",
     "profile: major version x 256 + minor version", {}},
    {"identity.features", "bits", "firmware",
     "optional groups and functions the firmware has", {}},
    // stamp
    {"stamp.kit", "text", "settings memory",
     "id of the kit the unit was built to", {}},
    {"stamp.kit_revision", "text", "settings memory",
     "revision of that kit", {}},
    {"stamp.kit_digest", "text", "settings memory",
     "first 16 hexadecimal digits of the kit digest", {}},
    {"stamp.date", "text", "settings memory",
     "day of the stamp, YYYY-MM-DD", {}},
    {"stamp.station", "text", "settings memory",
     "station that wrote the stamp", {}},
    // snapshot
    {"snapshot.generation", "count", "firmware",
     "counts latches; the same in a whole packed image", {}},
    {"snapshot.owner", "word", "firmware",
     "word written to snapshot.latch by whoever latched last", {}},
    {"snapshot.boot", "count", "firmware",
     "counts starts of the firmware", {}},
    {"snapshot.changes", "count", "firmware",
     "counts changes of straps, settings, power state and input lock", {}},
    {"snapshot.uptime_s", "s", "firmware",
     "time since the last start", {}},
    {"snapshot.reset_cause", "choice", "firmware",
     "why the firmware started last", kResetCauseChoices},
    {"snapshot.latch", "word", "firmware",
     "writing a word copies every point into the packed image and makes that word the owner", {}},
    // power
    {"power.state", "choice", "firmware",
     "power state", kPowerStateChoices},
    {"power.reason", "choice", "firmware",
     "why the unit is in that state", kPowerReasonChoices},
    {"power.panel_switch", "choice", "firmware",
     "panel rail switch as commanded", kOffOnChoices},
    {"power.light_switch", "choice", "firmware",
     "backlight enable as commanded", kOffOnChoices},
    // straps
    {"straps.strap_0", "strap", "strap pins",
     "strap of index 0: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_1", "strap", "strap pins",
     "strap of index 1: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_2", "strap", "strap pins",
     "strap of index 2: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_3", "strap", "strap pins",
     "strap of index 3: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_4", "strap", "strap pins",
     "strap of index 4: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_5", "strap", "strap pins",
     "strap of index 5: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_6", "strap", "strap pins",
     "strap of index 6: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_7", "strap", "strap pins",
     "strap of index 7: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_8", "strap", "strap pins",
     "strap of index 8: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_9", "strap", "strap pins",
     "strap of index 9: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_10", "strap", "strap pins",
     "strap of index 10: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_11", "strap", "strap pins",
     "strap of index 11: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_12", "strap", "strap pins",
     "strap of index 12: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_13", "strap", "strap pins",
     "strap of index 13: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_14", "strap", "strap pins",
     "strap of index 14: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    {"straps.strap_15", "strap", "strap pins",
     "strap of index 15: jumper bit n = pins n+1 and n+2 joined, bank bit n = way n+1 on", {}},
    // rails
    {"rails.supply_in_mv", "mV", "supply input, behind its fuse",
     "unit supply", {}},
    {"rails.supply_in_mv_min", "mV", "supply input, behind its fuse",
     "unit supply, lowest since cleared", {}},
    {"rails.supply_in_mv_max", "mV", "supply input, behind its fuse",
     "unit supply, highest since cleared", {}},
    {"rails.supply_in_ma", "mA", "supply input, behind its fuse",
     "unit supply current", {}},
    {"rails.logic_out_mv", "mV", "logic converter output",
     "logic rail", {}},
    {"rails.logic_out_mv_min", "mV", "logic converter output",
     "logic rail, lowest since cleared", {}},
    {"rails.logic_out_mv_max", "mV", "logic converter output",
     "logic rail, highest since cleared", {}},
    {"rails.panel_selected_mv", "mV", "panel rail selector output, ahead of the switch",
     "panel rail as the straps select it", {}},
    {"rails.panel_out_mv", "mV", "panel connector, after fuse and switch",
     "panel rail", {}},
    {"rails.panel_out_mv_min", "mV", "panel connector, after fuse and switch",
     "panel rail, lowest since cleared while on", {}},
    {"rails.panel_out_mv_max", "mV", "panel connector, after fuse and switch",
     "panel rail, highest since cleared", {}},
    {"rails.panel_out_ma", "mA", "panel connector, after fuse and switch",
     "panel rail current", {}},
    {"rails.light_out_mv", "mV", "backlight connector, after its fuse",
     "backlight supply rail", {}},
    {"rails.light_out_mv_min", "mV", "backlight connector, after its fuse",
     "backlight supply rail, lowest since cleared while on", {}},
    {"rails.light_out_mv_max", "mV", "backlight connector, after its fuse",
     "backlight supply rail, highest since cleared", {}},
    {"rails.light_out_ma", "mA", "backlight connector, after its fuse",
     "backlight supply rail current", {}},
    {"rails.keypad_out_mv", "mV", "keypad connector",
     "keypad supply", {}},
    {"rails.keypad_out_mv_min", "mV", "keypad connector",
     "keypad supply, lowest since cleared while on", {}},
    {"rails.keypad_out_mv_max", "mV", "keypad connector",
     "keypad supply, highest since cleared", {}},
    {"rails.keypad_out_ma", "mA", "keypad connector",
     "keypad supply current", {}},
    {"rails.brown_outs", "count", "supply input",
     "dips of the unit supply below the board minimum since cleared", {}},
    // backlight
    {"backlight.enable_mv", "mV", "backlight connector, enable pin",
     "level of the enable line", {}},
    {"backlight.level_commanded_permille", "permille", "firmware",
     "brightness asked for", {}},
    {"backlight.level_effective_permille", "permille", "firmware",
     "brightness after every limit", {}},
    {"backlight.limited_by", "choice", "firmware",
     "what holds the effective level below the commanded one", kLimitedByChoices},
    {"backlight.pwm_frequency_hz", "Hz", "backlight connector, dimming pin",
     "frequency measured between rising edges", {}},
    {"backlight.pwm_duty_permille", "permille", "backlight connector, dimming pin",
     "high time over period, as measured", {}},
    {"backlight.dimming_mv", "mV", "backlight connector, dimming pin",
     "mean level of the dimming line", {}},
    // input
    {"input.selected", "index", "firmware",
     "input in use: its place in the board file, first 0", {}},
    {"input.selection", "choice", "firmware",
     "how the input is chosen", kSelectionChoices},
    {"input.cable", "choice", "input connector",
     "5 V of the source is present", kNoYesChoices},
    {"input.hot_plug", "choice", "input connector",
     "hot-plug line as driven by the unit", kLowHighChoices},
    {"input.locked", "choice", "receiver",
     "receiver holds lock on a timing in range", kNoYesChoices},
    {"input.losses", "count", "receiver",
     "losses of lock since the last start", {}},
    {"input.h_active", "pixels", "receiver",
     "active pixels a line", {}},
    {"input.h_total", "pixels", "receiver",
     "all pixels a line", {}},
    {"input.v_active", "lines", "receiver",
     "active lines a frame", {}},
    {"input.v_total", "lines", "receiver",
     "all lines a frame", {}},
    {"input.pixel_clock_khz", "kHz", "receiver",
     "pixel clock of the source", {}},
    {"input.refresh_millihz", "mHz", "receiver",
     "frames a second x 1000", {}},
    {"input.h_polarity", "choice", "receiver",
     "horizontal sync pulse", kPolarityChoices},
    {"input.v_polarity", "choice", "receiver",
     "vertical sync pulse", kPolarityChoices},
    {"input.interlaced", "choice", "receiver",
     "interlaced scan", kNoYesChoices},
    {"input.colour_form", "choice", "receiver",
     "colour form of the source", kColourFormChoices},
    // panel_link
    {"panel_link.enabled", "choice", "link transmitter",
     "outputs enabled", kNoYesChoices},
    {"panel_link.channels", "count", "link transmitter",
     "channels driven", {}},
    {"panel_link.bits", "bits", "link transmitter",
     "bits a pixel", {}},
    {"panel_link.mapping", "choice", "link transmitter",
     "bit mapping driven", kMappingChoices},
    {"panel_link.raster_h", "pixels", "scaler",
     "active pixels a line of the raster row in force", {}},
    {"panel_link.raster_v", "lines", "scaler",
     "active lines a frame of the raster row in force", {}},
    {"panel_link.pixel_clock_khz", "kHz", "link transmitter",
     "pixel clock, all channels together", {}},
    {"panel_link.pll_locked", "choice", "link transmitter",
     "transmitter clock loop is locked", kNoYesChoices},
    // sequence
    {"sequence.resolution_us", "us", "firmware",
     "resolution of the intervals below", {}},
    {"sequence.supply_rise_us", "us", "panel connector",
     "panel rail from 10 % to 90 %", {}},
    {"sequence.supply_to_signal_us", "us", "panel connector",
     "panel rail at 90 % to link enabled", {}},
    {"sequence.signal_to_light_us", "us", "panel and backlight connectors",
     "link enabled to backlight enabled", {}},
    {"sequence.light_to_no_signal_us", "us", "panel and backlight connectors",
     "backlight off to link off, last time", {}},
    {"sequence.rest_us", "us", "panel connector",
     "panel rail off to on again, last time", {}},
    // thermal
    {"thermal.board_mdegc", "m°C", "board sensor",
     "temperature of the board", {}},
    {"thermal.panel_mdegc", "m°C", "panel sensor",
     "temperature at the panel", {}},
    // life
    {"life.board_hours", "h", "settings memory",
     "hours the board was powered", {}},
    {"life.light_hours", "h", "settings memory",
     "hours the backlight was on", {}},
    {"life.power_cycles", "count", "settings memory",
     "times the unit was powered", {}},
    // keypad
    {"keypad.present", "choice", "keypad connector",
     "a keypad answers on the ladder", kNoYesChoices},
    {"keypad.keys", "bits", "keypad connector",
     "keys held, bit n = key n+1", {}},
    // faults
    {"faults.latched", "bits", "firmware",
     "bit 0 supply, 1 panel rail, 2 backlight driver, 3 over-temperature, 4 settings memory, 5 keypad", {}},
    // log
    {"log.records", "count", "settings memory",
     "records the event log holds", {}},
    {"log.newest", "index", "settings memory",
     "record number of the newest", {}},
    // settings
    {"settings.layout", "version", "settings memory",
     "version of this layout of settings", {}},
    {"settings.brightness_permille", "permille", "settings memory",
     "brightness asked for", {}},
    {"settings.power_on", "choice", "settings memory",
     "what the unit does when its supply returns", kPowerOnChoices},
    {"settings.input", "index", "settings memory",
     "input in use when the choice is fixed", {}},
    {"settings.selection", "choice", "settings memory",
     "how the input is chosen", kSelectionChoices},
    {"settings.pwm_frequency_hz", "Hz", "settings memory",
     "frequency of the dimming line", {}},
    {"settings.arm", "word", "firmware",
     "writing the arming word lets settings and stamp be written, writing 0 ends that; reads as that word, or 0", {}},
}};

constexpr auto kGroups = std::to_array<Group>({
    {"identity", 0x000, "who the unit is"},
    {"stamp", 0x040, "birth certificate, written at the end of production"},
    {"snapshot", 0x080, "what makes a set of readings one consistent set"},
    {"power", 0x0C0, "power state and what is switched"},
    {"straps", 0x100, "straps as the board senses them"},
    {"rails", 0x140, "supply and rails"},
    {"backlight", 0x180, "backlight control"},
    {"input", 0x1C0, "video input"},
    {"panel_link", 0x200, "link from board to panel, as the board drives it"},
    {"sequence", 0x240, "last power-up and power-down, at the outputs of the board"},
    {"thermal", 0x280, "temperatures"},
    {"life", 0x2C0, "hours and cycles"},
    {"keypad", 0x300, "keypad"},
    {"faults", 0x340, "faults the firmware has latched"},
    {"log", 0x380, "event log"},
    {"settings", 0x400, "settings of the unit"},
});
// clang-format on

}  // namespace

std::span<const Words, kPointCount> all_words() {
  return kWords;
}

const Words& words(Point point) {
  return kWords[static_cast<std::size_t>(point)];
}

std::span<const Group> groups() {
  return kGroups;
}

std::optional<Point> find(std::string_view name) {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i].name == name) return static_cast<Point>(i);
  }
  return std::nullopt;
}

std::string_view choice(Point point, std::int64_t value) {
  const auto choices = words(point).choices;
  if (value < 0 || value >= static_cast<std::int64_t>(choices.size())) return {};
  return choices[static_cast<std::size_t>(value)];
}

}  // namespace protocol::points
