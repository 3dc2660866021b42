#include <string>
#include <string_view>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "tests/host/model/catalogue_copy.hpp"

namespace {

using host::model::FileError;

/// One defect in a file that was right. Once `was` is `now`, the error must stand where `at` (a part of
/// `now`) begins, and use all these words. Empty `at`: the place isn't in what was changed.
struct Defect {
  std::string_view file, kit, was, now, at, what, remedy;
};

constexpr std::string_view kSlate = "panels/slate.toml";
constexpr std::string_view kAlder = "boards/alder.toml";
constexpr std::string_view kBirch = "boards/birch.toml";
constexpr std::string_view kStop = "kits/stop-display.toml";
constexpr std::string_view kCab = "kits/cab-display.toml";

// clang-format off
const Defect kDefects[] = {
    // form
    {kSlate, "stop-display", "pixels = \"1920 x 360\"", "pixels = \"1920 x 360", "", "not TOML", "double quotes"},
    {kSlate, "stop-display", "channels = 2", "channels = zwölf", "ö", "'ö' can't stand outside a text", "double quotes"},
    {kSlate, "stop-display", "channels = 2", "channels = [&", "", "not TOML", ""},
    {kSlate, "stop-display", "channels = 2", "channels = 2\nchannels = 2", "", "not TOML", ""},
    {kSlate, "stop-display", "channels = 2", "chanels = 2", "chanels", "unknown key 'chanels' in [panel_link]", "'channels'"},
    {kSlate, "stop-display", "[glass]", "colour = \"red\"\n[glass]", "colour", "unknown key 'colour' in the file", "keys here: "},
    {kSlate, "stop-display", "idle = \"0.25 A\",", "", "", "missing key 'idle' in [current]", "add it"},
    {kSlate, "stop-display", "[sequence]", "[sequenze]", "sequenze", "unknown key 'sequenze' in the file", "'sequence'"},
    {kSlate, "stop-display", "channels = 2", "channels = 2.0", "2.0", "whole number from 1 to 4, got a number with a point", ""},
    {kSlate, "stop-display", "channels = 2", "channels = \"2\"", "\"2\"", "whole number from 1 to 4, got '2'", ""},
    {kSlate, "stop-display", "channels = 2", "channels = 5", "5", "from 1 to 4, got 5", ""},
    {kSlate, "stop-display", "channels = 2", "channels = 9223372036854775807", "9223", "from 1 to 4", ""},
    {kSlate, "stop-display", "title = \"Slate", "title = \"\" #", "\"\"", "'title' expects a text", ""},
    {kSlate, "stop-display", "title = \"Slate", "title = \"\\u001b[2J", "\"", "control characters", "plain"},
    {kSlate, "stop-display", "title = \"Slate", "title = \"\\u202Eetal", "\"", "control characters", "plain"},
    // quantities
    {kSlate, "stop-display", "voltage = \"12 V ±10 %\"", "voltage = \"12 A ±10 %\"", "\"12 A", "'voltage' expects a voltage such as '5 V ±5 %', got '12 A ±10 %'", ""},
    {kSlate, "stop-display", "voltage = \"12 V ±10 %\"", "voltage = 12", "12", "'voltage' expects a voltage such as '5 V ±5 %' in double quotes, got 12", ""},
    {kSlate, "stop-display", "voltage = \"12 V ±10 %\"", "voltage = \"12 V\"", "\"12 V\"", "expects limits both ways", ""},
    {kSlate, "stop-display", "\"135 / 148.5 / 160 MHz\"", "\"160 / 148.5 / 135 MHz\"", "\"160", "write min / typical / max, rising", ""},
    {kSlate, "stop-display", "absolute_max = \"14 V\"", "absolute_max = \"13 V\"", "\"13 V\"", "below the 13.2 V that 'voltage' allows", ""},
    {kSlate, "stop-display", "duty = \"5 .. 100 %\"", "duty = \"5 .. 101 %\"", "\"5 ..", "must be from 0 % to 100 %, got 101 %", ""},
    {kSlate, "stop-display", "off_below = \"0.8 V\"", "off_below = \"3.5 V\"", "\"3.5 V\"", "not below on_above", ""},
    {kSlate, "stop-display", "power = \"18.5 W\"", "power = \"0 W\"", "\"0 W\"", "must be above zero", ""},
    {kSlate, "stop-display", "black = \"0.42 A\"", "black = \"0.72 A\"", "\"0.72", "above the worst case", ""},
    {kSlate, "stop-display", "698.4 x 130.95 mm", "698.4 x 130.9505 mm", "", "more digits than are kept", ""},
    // words and references
    {kSlate, "stop-display", "mapping = \"vesa-24\"", "mapping = \"vesa24\"", "\"vesa24\"", "got 'vesa24'", "did you mean 'vesa-24'? the words: rgb-18"},
    {kSlate, "stop-display", "connector = \"panel-51\"", "connector = \"panel-50\"", "", "connector class 'panel-50'", "did you mean 'panel-51'"},
    {kSlate, "stop-display", "window = { x = 0, y = 360 }", "window = { x = 0, y = 800 }", "", "reaches beyond the raster", "move"},
    {kSlate, "stop-display", "window = { x = 0, y = 360 }", "", "", "a raster that the glass doesn't have", "window"},
    {kSlate, "stop-display", "status = \"released\"\nreleased_by = \"M. Okafor\"", "status = \"released\"", "\"released\"", "somebody released it", "released_by"},
    {kSlate, "stop-display", "id = \"X2\"", "id = \"J2\"", "\"J2\"", "is X and a number", "X2"},
    {kSlate, "stop-display", "id = \"X2\"", "id = \"X1\"", "\"X1\"", "'X1' is taken", "its own"},
    {kSlate, "stop-display", "1-3 = \"GND\"", "1-4 = \"GND\"", "", "pin 4 has two nets", "once"},
    {kSlate, "stop-display", "1-3 = \"GND\"", "3-1 = \"GND\"", "3-1", "'3-1' is no pin", "1-3"},
    {kSlate, "stop-display", "pins = 51", "pins = 50", "50", "nets name pin 51", ""},
    // boards
    {kAlder, "stop-display", "index = 1\n", "index = 0\n", "0", "0 is taken by BR2", "word of its own"},
    {kAlder, "stop-display", "index = 1\n", "index = 16\n", "16", "from 0 to 15", ""},
    {kAlder, "stop-display", "index = 1\n", "", "", "missing key 'index' in [[strap]]", ""},
    {kAlder, "stop-display", "evidence = \"not-sensed\"", "evidence = \"not-sensed\"\nindex = 7", "7", "this one isn't", "take it out"},
    {kAlder, "stop-display", "id = \"BR3\"", "id = \"BR2\"", "\"BR2\"", "'BR2' is taken", ""},
    {kAlder, "stop-display", "id = \"S1\"", "id = \"BR9\"", "\"BR9\"", "of a switch bank is S and a number", "S2"},
    {kAlder, "stop-display", "ways = 6", "ways = 13", "13", "from 1 to 12", ""},
    {kAlder, "stop-display", "nets = [\"SENSE\", \"GND\"]", "nets = [\"SENSE\"]", "[", "1 pins", "2 to 13 pins"},
    {kAlder, "stop-display", "turn = 90", "turn = 45", "45", "is 45", "0, 90, 180 or 270"},
    {kAlder, "stop-display", "straps = { BR3 = \"2-3\" }", "straps = { BR33 = \"2-3\" }", "BR33", "no strap 'BR33'", "'BR3'"},
    {kAlder, "stop-display", "straps = { BR3 = \"2-3\" }", "straps = { BR3 = \"1-3\" }", "\"1-3\"", "'1-3' is no position of BR3", ""},
    {kAlder, "stop-display", "straps = { S1 = \"1100xx\" }", "straps = { S1 = \"1100x\" }", "\"1100x\"", "write 6 digits", ""},
    {kAlder, "stop-display", "straps = { S1 = \"1100xx\" }", "straps = {}", "{}", "names no strap", ""},
    {kAlder, "stop-display", "straps = { S1 = \"1100xx\" }", "straps = { S1 = [] }", "[]", "expects a position", ""},
    {kAlder, "stop-display", "{ value = \"jeida-24\", straps", "{ value = \"5 V\", straps", "\"5 V\"", "got '5 V'", "the words"},
    {kAlder, "stop-display", "{ value = \"5 V\", straps = { BR2", "{ value = \"vesa-24\", straps = { BR2", "\"vesa-24\"", "expects a voltage", ""},
    {kAlder, "stop-display", "{ value = \"5 V\", straps = { BR2", "{ value = \"6 V\", straps = { BR2", "{", "no choice of the panel rail", "choices"},
    {kAlder, "stop-display", "{ value = \"5 V\", straps = { BR2 = \"2-3\" } }", "{ value = \"5 V\", straps = { BR2 = [\"2-3\", \"1-2\"] } }", "{", "BR2 1-2 would select both 3.3 V and 5 V", "one value"},
    {kAlder, "stop-display", "{ raster = \"1366 x 768\", channels = 1, bits = 24 }", "{ raster = \"1366 x 768\", channels = 1, bits = 20 }", "20", "is 20", "18, 24 or 30"},
    {kAlder, "stop-display", "id = \"bit-mapping\"", "id = \"panel-supply\"", "\"panel-supply\"", "listed twice", ""},
    {kAlder, "stop-display", "id = \"bit-mapping\"", "id = \"bitmapping\"", "\"bitmapping\"", "got 'bitmapping'", "'bit-mapping'"},
    {kAlder, "stop-display", "places = [\"selected\", \"out\"]", "places = [\"selected\", \"inside\"]", "\"inside\"", "no point 'rails.panel_inside_mv'", "selected, out"},
    {kAlder, "stop-display", "choices = [\"3.3 V\", \"5 V\", \"12 V\"]", "choices = [\"3.3 V\", \"3.3 V\", \"12 V\"]", "", "must rise", ""},
    {kAlder, "stop-display", "id = \"keypad\"", "id = \"panel\"", "\"panel\"", "'panel' is listed twice", ""},
    {kAlder, "stop-display", "enable_tolerance", "enable_high = \"5 V\"\nenable_tolerance", "", "straps select light-enable, and light.enable_high states it", ""},
    {kAlder, "stop-display", "id = \"dimming-sense\"", "id = \"scan-direction\"", "", "got 'high-is-brighter'", ""},
    {kAlder, "stop-display", "\"0 %\" = \"5 %\", ", "", "", "must reach from 0 % to 100 %", ""},
    {kAlder, "stop-display", "\"0 %\" = \"5 %\"", "\"0 %\" = \"101 %\"", "\"101 %\"", "a duty from 0 % to 100 %", ""},
    {kAlder, "stop-display", "pwm = \"200 Hz\"", "pwm = \"50 Hz\"", "\"50 Hz\"", "outside pwm_range", ""},
    {kAlder, "stop-display", "parity = \"even\"", "parity = \"evn\"", "\"evn\"", "got 'evn'", "'even'"},
    {kAlder, "stop-display", "efficiency = \"88 %\"", "efficiency = \"0 %\"", "\"0 %\"", "from 1 % to 100 %", ""},
    {kAlder, "stop-display", "\"thermal.panel_mdegc\"", "\"thermal.panel_degc\"", "\"thermal.panel_degc\"", "no point 'thermal.panel_degc'", "'thermal.panel_mdegc'"},
    {kAlder, "stop-display", "absent = [", "evidence = { \"backlight.dimming_mv\" = \"measured\" }\nabsent = [", "\"measured\"", "listed as absent", ""},
    {kBirch, "cab-display", "origin = \"passed-through\"", "origin = \"passed-through\"\nchoices = [\"12 V\"]", "[", "this one is passed through", ""},
    {kBirch, "cab-display", "{ value = \"12 V\", straps = { BR2 = \"2-3\" } }", "{ value = \"12 V\", straps = { BR1 = \"1-2\" } }", "{", "BR1 1-2, BR2 1-2 would select both 3.3 V and 12 V", "panel-supply"},
    // eDP, dimming by a voltage, registers of a board's own
    {"panels/onyx.toml", "driver-screen", "rate = \"2.7 Gbit/s\"", "rate = \"2.7 MHz\"", "\"2.7 MHz\"", "a bit rate", ""},
    {"panels/onyx.toml", "driver-screen", "rate = \"2.7 Gbit/s\"", "rate = \"2.5 Gbit/s\"", "\"2.5", "which no lane has", "1.62 Gbit/s, 2.16 Gbit/s"},
    {"panels/onyx.toml", "driver-screen", "lanes = 2", "lanes = 1", "", "152 MHz of them need 3.648 Gbit/s", "8/10"},
    {"panels/onyx.toml", "driver-screen", "lanes = 2", "lanes = 3", "3", "which no link has", "1, 2 or 4"},
    {"panels/onyx.toml", "driver-screen", "lanes = 2", "channels = 2", "channels", "unknown key 'channels'", ""},
    {"boards/aspen.toml", "driver-screen", "message_for = \"5 s\"", "message_for = \"500 ms\"", "\"500 ms\"", "from 1000 ms to 600 s", ""},
    {"boards/aspen.toml", "driver-screen", "message_for = \"5 s\"", "message_for = 5", "5", "expects a time such as", ""},
    {"boards/aspen.toml", "driver-screen", "lane_rate_max = \"2.7 Gbit/s\"\n", "", "", "missing key 'lane_rate_max' in [link]", ""},
    {"panels/sandstone.toml", "inspector-desk", "range = \"0.3 .. 3 V\"", "duty = \"0 .. 100 %\"", "duty", "unknown key 'duty'", ""},
    {"panels/sandstone.toml", "inspector-desk", "range = \"0.3 .. 3 V\"", "range = \"<= 3 V\"", "\"<=", "expects limits both ways", ""},
    {"panels/gneiss.toml", "inspector-lamp", "kind = \"ccfl\"", "kind = \"tube\"", "\"tube\"", "got 'tube'", "led, ccfl"},
    {"boards/larch.toml", "inspector-desk", "\"0 %\" = \"0.5 V\"", "\"0 %\" = \"3.5 V\"", "", "the voltage falls as brightness rises", "high-is-brighter"},
    {"boards/larch.toml", "inspector-desk", "\"0 %\" = \"0.5 V\", ", "", "", "'level_at' must reach from 0 % to 100 %", ""},
    {"boards/larch.toml", "inspector-desk", "level_uncertainty = \"±20 mV\"\n", "", "", "missing key 'level_uncertainty' in [light]", ""},
    {"boards/larch.toml", "inspector-desk", "edid = \"none\"", "edid = [\"dmt 10h\", \"dmt 04h\", \"dmt 09h\"]", "[", "lists 3 timings", "room for two"},
    {"boards/larch.toml", "inspector-desk", "edid = \"none\"", "edid = 3", "3", "expects texts", ""},
    {"keypads/five-key.toml", "stop-display", "current = \"25 mA\"", "current = \"25 mV\"", "\"25 mV\"", "a current", ""},
    // sources of single figures
    {kSlate, "stop-display", "\"supply.current.worst\" =", "\"supply.curent.worst\" =", "\"supply.curent", "no figure of this file is called 'supply.curent.worst'", "'supply.current.worst'"},
    {kSlate, "stop-display", "\"supply.current.worst\" =", "title =", "title", "no figure of this file is called 'title'", "supply.voltage"},
    {kSlate, "stop-display", "= \"slate application note, 1.1, page 4\"", "= 4", "4", "expects a source", ""},
    {kAlder, "stop-display", "\"rail.panel.uncertainty\"", "\"rail.panels.uncertainty\"", "\"rail.panels", "called 'rail.panels.uncertainty'", "'rail.panel.uncertainty'"},
    {kSlate, "stop-display", "[sources]", "[source]", "source", "unknown key 'source'", "'sources'"},
    {"boards/maple.toml", "control-wall", "profile = \"own\"", "profile = \"mine\"", "\"mine\"", "got 'mine'", "strapline, own"},
    {"boards/maple.toml", "control-wall", "profile = \"own\"", "profile = \"strapline\"", "", "speaks this project's profile", "[wire] profile"},
    {"boards/maple.toml", "control-wall", "point = \"rails.panel_out_mv\"", "point = \"rails.panel_out_v\"", "\"rails.panel_out_v\"", "no point 'rails.panel_out_v'", "'rails.panel_out_mv'"},
    {"boards/maple.toml", "control-wall", "point = \"rails.panel_out_mv\"", "point = \"rails.supply_in_mv\"", "\"rails.supply_in_mv\"", "has a register already", ""},
    {"boards/maple.toml", "control-wall", "address = 43", "address = 42", "42", "42 is taken by backlight.pwm_frequency_hz", "two addresses"},
    {"boards/maple.toml", "control-wall", "address = 16", "address = 65536", "65536", "from 0 to 65535", ""},
    {"boards/maple.toml", "control-wall", "scale = \"1/100\"", "scale = \"0.01\"", "\"0.01\"", "a share such as", "1000000"},
    {"boards/maple.toml", "control-wall", "type = \"bit\"", "type = \"u16\"", "\"u16\"", "a table of discretes doesn't hold", "bit"},
    {"boards/maple.toml", "control-wall", "registers_max = 100", "registers_max = 126", "126", "from 1 to 125", ""},
    {"boards/maple.toml", "control-wall", "address = 200, count = 8", "address = 201, count = 7", "", "200 is in none of the board's readable ranges", "[wire]"},
    {"boards/maple.toml", "control-wall", "address = 0, count = 128", "address = 65000, count = 600", "600", "from 1 to 536", ""},
    {"boards/maple.toml", "control-wall", "answer_time_max = \"150 ms\"", "answer_time_max = \"150 mV\"", "\"150 mV\"", "'answer_time_max' expects", ""},
    {"boards/maple.toml", "control-wall", "identification = false", "identification = false\nproduct = \"quad-7\"", "\"quad-7\"", "what the board's identification says", "one of the two"},
    {"boards/maple.toml", "control-wall", "length = 4", "length = 17", "17", "from 1 to 16", ""},
    {"boards/maple.toml", "control-wall", "point = \"snapshot.changes\"", "point = \"snapshot.latch\"", "\"snapshot.latch\"", "nothing is ever written to such a board", "take it out"},
    {"boards/maple.toml", "control-wall", "point = \"snapshot.changes\"\ntable = \"inputs\"\naddress = 10\ntype = \"u16\"", "point = \"snapshot.changes\"\ntable = \"inputs\"\naddress = 10\ntype = \"text\"\nlength = 1", "\"text\"", "'snapshot.changes' is a number", "u16"},
    {"boards/maple.toml", "control-wall", "point = \"identity.serial\"\n", "point = \"identity.serial\"\nscale = \"10\"\n", "", "'identity.serial' is a text", "without a scale"},
    {"boards/maple.toml", "control-wall", "word_order = \"low-first\"\n", "", "", "missing key 'word_order' in [[register]]", ""},
    // cables, supplies, keypads
    {"cables/light-14-450.toml", "stop-display", "far = 12,", "far = 0,", "0", "from 1 to 200", ""},
    {"cables/light-14-450.toml", "stop-display", "{ board = 2, far = 2,", "{ board = 1, far = 1,", "{", "same two pins", ""},
    {"cables/light-14-450.toml", "stop-display", "length = \"450 mm\"", "length = \"450 mW\"", "\"450 mW\"", "a length", ""},
    {"supplies/depot-24v-60w.toml", "stop-display", "\"24 V ±5 %\"", "\"22 .. 26 V\"", "\"22", "no nominal", ""},
    {"keypads/five-key.toml", "stop-display", "keys = 5", "keys = 17", "17", "from 1 to 16", ""},
    // kits
    {kStop, "stop-display", "panel = \"slate\"", "panel = \"slat\"", "\"slat\"", "there is no panel 'slat'", "did you mean 'slate'? panels: basalt, chalk"},
    {kStop, "stop-display", "board = \"alder\"", "board = \"../alder\"", "\"../alder\"", "expects an id", ""},
    {kStop, "stop-display", "W2 = \"light-14-450\"", "W2 = \"light-14-400\"", "\"light-14-400\"", "there is no cable", "'light-14-450'"},
    {kStop, "stop-display", "W2 = ", "X2 = ", "X2", "a cable is W and a number", ""},
    {kStop, "stop-display", "keypad = \"five-key\"", "keypad = \"six-key\"", "\"six-key\"", "there is no keypad", "five-key"},
    {kStop, "stop-display", "input = \"hdmi-1\"", "input = \"hdmi-2\"", "\"hdmi-2\"", "board alder has no input 'hdmi-2'", "'hdmi-1'"},
    {kStop, "stop-display", "attested = [\"BR5\"]", "attested = [\"BR8\"]", "\"BR8\"", "board alder has no strap 'BR8'", "straps: "},
    {kStop, "stop-display", "attested = [\"BR5\"]", "attested = [\"BR2\"]", "\"BR2\"", "no eye can vouch", "take it out"},
    {kStop, "stop-display", "brightness = \"80 %\"", "brightness = \"180 %\"", "\"180 %\"", "from 0 % to 100 %", ""},
    {kStop, "stop-display", "power_on = \"always\"", "power_on = \"allways\"", "\"allways\"", "got 'allways'", "'always'"},
    {kCab, "cab-display", "h_sync = 32", "h_sync = 0", "0", "from 1 to 32767", ""},
    {kCab, "cab-display", "v_polarity = \"negative\"", "v_polarity = \"-\"", "\"-\"", "got '-'", "negative, positive"},
};
// clang-format on

/// Line and column, in characters, of an octet of a text.
host::model::Place place_in(const std::string& text, std::size_t octet) {
  host::model::Place place{1, 1};
  for (std::size_t n = 0; n < octet; ++n) {
    if (text[n] == '\n') {
      place = {place.line + 1, 1};
    } else if ((static_cast<unsigned char>(text[n]) & 0xC0U) != 0x80U) {
      ++place.column;
    }
  }
  return place;
}

bool names(const FileError& error, const Defect& defect) {
  return error.what.find(defect.what) != std::string::npos &&
         error.remedy.find(defect.remedy) != std::string::npos;
}

std::string all(const host::model::FileErrors& errors) {
  std::string text;
  for (const auto& error : errors) text += to_text(error) + "\n";
  return text;
}

}  // namespace

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("each defect is named with its place, what is wrong and what would be right") {
    const CatalogueCopy copy;
    for (const Defect& defect : kDefects) {
      CAPTURE(defect.now);
      const std::string before = copy.read(defect.file);
      const std::size_t begin = before.find(defect.was);
      REQUIRE(begin != std::string::npos);
      REQUIRE(copy.replace(defect.file, defect.was, defect.now));
      const auto kit = load_kit(defect.kit, copy.catalogue());
      REQUIRE_FALSE(kit.has_value());
      CAPTURE(all(kit.error()));

      const FileError* found = nullptr;
      for (const FileError& error : kit.error()) {
        CHECK(error.kind == FileError::Kind::kMalformed);
        CHECK(error.path == copy.path(defect.file));
        if (found == nullptr && names(error, defect)) found = &error;
      }
      REQUIRE(found != nullptr);
      CHECK(found->place.line > 0);
      CHECK(found->place.column > 0);
      if (!defect.at.empty()) {
        const std::string after = copy.read(defect.file);
        const std::size_t at = begin + defect.now.find(defect.at);
        CHECK(found->place == place_in(after, at));
        CHECK(!found->line_text.empty());
      }
      copy.write(defect.file, before);
    }
  }

  TEST_CASE("all errors of all files come at once, each in its file") {
    const CatalogueCopy copy;
    REQUIRE(copy.replace("panels/slate.toml", "channels = 2", "channels = 7"));
    REQUIRE(copy.replace("panels/slate.toml", "\"12 V ±10 %\"", "\"12 A\""));
    REQUIRE(copy.replace("boards/alder.toml", "baud = 115200", "baudrate = 115200"));
    REQUIRE(copy.replace("cables/keypad-5-600.toml", "length = \"600 mm\"", "length = \"600\""));
    REQUIRE(copy.replace("kits/stop-display.toml", "supply = \"depot-24v-60w\"", "supply = \"depot-24v\""));
    const auto kit = load_kit("stop-display", copy.catalogue());
    REQUIRE_FALSE(kit.has_value());
    const std::string text = all(kit.error());
    CAPTURE(text);
    CHECK(kit.error().size() == 6);  // a key unknown is also a key missing
    for (const char* part :
         {"stop-display.toml:10:10: there is no supply 'depot-24v'", "slate.toml:26:12: 'channels'",
          "slate.toml:31:11: 'voltage'", "unknown key 'baudrate'", "missing key 'baud'",
          "keypad-5-600.toml:7:10: 'length'"}) {
      CAPTURE(part);
      CHECK(text.find(part) != std::string::npos);
    }
  }

  TEST_CASE("an error is printed with the line and a caret below its column") {
    const CatalogueCopy copy;
    REQUIRE(copy.replace("panels/slate.toml", "\"12 V ±10 %\"", "\"12 A\""));
    const auto panel = load_panel("slate", copy.catalogue());
    REQUIRE_FALSE(panel.has_value());
    CHECK(to_text(panel.error().front()) ==
          copy.path("panels/slate.toml") +
              ":31:11: 'voltage' expects a voltage such as '5 V ±5 %', got '12 A'\n"
              "  voltage = \"12 A\"\n"
              "            ^");
  }

  TEST_CASE("a row's contradiction names both rows and a joint position") {
    const CatalogueCopy copy;
    REQUIRE(copy.replace("boards/birch.toml", "straps = { S1 = \"x1\" }", "straps = { S1 = \"1x\" }"));
    const auto board = load_board("birch", copy.catalogue());
    REQUIRE_FALSE(board.has_value());
    REQUIRE(board.error().size() == 1);
    const std::string text = copy.read("boards/birch.toml");
    const int one = place_in(text, text.find("{ value = \"jeida-24\"")).line;
    CHECK(board.error()[0].what == "contradicts the row in line " + std::to_string(one) +
                                       ": S1 10 would select both jeida-24 and rgb-18");
    CHECK(board.error()[0].place == place_in(text, text.find("{ value = \"rgb-18\"")));
  }
}
