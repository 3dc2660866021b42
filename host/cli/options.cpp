#include "host/cli/options.hpp"

namespace host::cli {
namespace {

constexpr auto kGlobal = std::to_array<OptionSpec>({
    {"--catalog", "", "DIR", "", "look for kits, panels and boards in DIR first", false, true},
    {"--log-level", "", "LEVEL", "warning", "how much to log: debug, info, warning, error or off"},
    {"--log-file", "", "FILE", "", "append the log to FILE instead of writing it to standard error"},
    {"--color", "", "WHEN", "auto", "colour: auto (on a terminal, unless NO_COLOR is set), always or never"},
    {"--help", "-h", "", "", "print help and end"},
    {"--version", "", "", "", "print the version and end"},
});

constexpr auto kCheck = std::to_array<OptionSpec>({
    {"--straps", "", "POSITIONS", "", "explain these positions: BR1=2-3,S1=1001xx", false, true},
    {"--edid", "", "FILE", "", "judge what a source would choose from this EDID, not from the board's own"},
    {"--json", "", "", "", "print one JSON document (strapline/check/1)"},
});

constexpr auto kMatch = std::to_array<OptionSpec>({
    {"--input", "", "KIND", "", "a kind of input it must have: hdmi, dvi, vga or displayport", false, true},
    {"--need", "", "FEATURE", "",
     "something else it must have: keypad, scan-direction, sensed-straps, panel-current, event-log, rs-485, "
     "rs-232 or ttl",
     false, true},
    {"--json", "", "", "", "print one JSON document (strapline/match/1)"},
});

constexpr auto kVerify = std::to_array<OptionSpec>({
    {"--link", "", "URL", "",
     "where the unit is: /dev/ttyUSB0, serial:/dev/ttyUSB0?baud=115200, tcp://host:port (RTU over TCP), mbtcp://host, "
     "sim:KIT, or trace:FILE; needed unless there is a --snapshot"},
    {"--snapshot", "", "FILE", "",
     "judge the readings that FILE keeps, a document of --json or --report, instead of a unit's"},
    {"--address", "", "N", "1", "the unit's address on the line, 1 to 247"},
    {"--serial", "", "S", "", "the serial number the unit must have, as scanned from its label"},
    {"--attest", "", "STRAP=POSITION", "", "what you have seen of a strap that the board can't sense", false,
     true},
    {"--by", "", "NAME", "", "who attests; needed with --attest"},
    {"--timeout", "", "TIME", "10s", "end after TIME whatever happens: 500ms, 10s, 2min"},
    {"--share", "", "", "", "talk although another master is heard on the line"},
    {"--trace", "", "FILE", "", "write every octet both ways to FILE, a pcapng capture"},
    {"--json", "", "", "", "print one JSON document (strapline/verify/1)"},
    {"--report", "-o", "FILE", "", "also write the result to FILE, as text (.txt) or JSON (.json)", false,
     true},
});

constexpr auto kSheet = std::to_array<OptionSpec>({
    {"--output", "-o", "FILE", "", "write the sheet to FILE: .html to print, .svg for the board, or .txt",
     true},
});

constexpr auto kCard = std::to_array<OptionSpec>({
    {"--output", "-o", "FILE", "", "write the picture to FILE, a .png", true},
    {"--fault", "", "FAULT", "",
     "show what the eye would see with one thing wrong: mapping=jeida-24, channels-swapped, bits=6, pair-open=N, "
     "pair-reversed=N or shifted=X,Y"},
});

constexpr auto kEdidShow = std::to_array<OptionSpec>({
    {"--json", "", "", "", "print one JSON document (strapline/edid/1)"},
});

constexpr auto kEdidMake = std::to_array<OptionSpec>({
    {"--output", "-o", "FILE", "", "write it to FILE: octets (.bin), or hexadecimal text (.txt, .hex)", true},
    {"--maker", "", "ABC", "QZX", "the three letters of its maker; registered ones for what is sold"},
    {"--year", "", "YEAR", "2026", "the year of making it tells, 2000 to 2245"},
});

constexpr auto kEdidDiff = std::to_array<OptionSpec>({
    {"--json", "", "", "", "print one JSON document (strapline/edid-diff/1)"},
});

constexpr auto kTimingMake = std::to_array<OptionSpec>({
    {"--json", "", "", "", "print one JSON document (strapline/timing/1)"},
});

constexpr auto kTimingIdentify = std::to_array<OptionSpec>({
    {"--h-khz", "", "KHZ", "", "line rate as measured"},
    {"--v-hz", "", "HZ", "", "vertical rate as measured; of fields when interlaced"},
    {"--clock-mhz", "", "MHZ", "", "pixel clock as measured"},
    {"--h-active", "", "PIXELS", "", "visible pixels of a line"},
    {"--h-total", "", "PIXELS", "", "all pixels of a line"},
    {"--v-active", "", "LINES", "", "visible lines of a frame"},
    {"--v-total", "", "LINES", "", "all lines of a frame"},
    {"--h-polarity", "", "SIGN", "", "of horizontal sync: positive or negative"},
    {"--v-polarity", "", "SIGN", "", "of vertical sync: positive or negative"},
    {"--interlaced", "", "YES", "", "yes or no, where that is known"},
    {"--json", "", "", "", "print one JSON document (strapline/timing-identify/1)"},
});

constexpr auto kCatalogCheck = std::to_array<OptionSpec>({
    {"--json", "", "", "", "print one JSON document (strapline/catalog-check/1)"},
});

constexpr auto kPorts = std::to_array<OptionSpec>({
    {"--json", "", "", "", "print one JSON document (strapline/ports/1)"},
});

constexpr auto kScan = std::to_array<OptionSpec>({
    {"--addresses", "", "RANGE", "1-247", "the addresses to ask, such as 1-32 or 17"},
    {"--timeout", "", "TIME", "3min", "end after TIME whatever was found: 500ms, 10s, 2min"},
    {"--share", "", "", "", "talk although another master is heard on the line"},
    {"--trace", "", "FILE", "", "write every octet both ways to FILE, a pcapng capture"},
    {"--json", "", "", "", "print one JSON document (strapline/scan/1)"},
});

constexpr auto kTraceExtract = std::to_array<OptionSpec>({
    {"--output", "-o", "FILE", "", "write the readings to FILE, a .csv", true},
    {"--point", "", "NAME", "", "only this point, such as rails.panel_out_mv", false, true},
});

constexpr ArgumentSpecs kTraceArgument{
    {{"FILE", "a capture that --trace has written, or another of link type 250"}, {}}};

constexpr ArgumentSpecs kKitArgument{{{"KIT", "a kit of the catalogue, or the path of a kit file"}, {}}};
constexpr std::string_view kEdidFile = "a file of octets or of hexadecimal text; - for standard input";

constexpr auto kCommands = std::to_array<CommandSpec>({
    {CommandId::kCheck,
     "check",
     kKitArgument,
     "work out what a kit must read as, and judge it on paper",
     "Works out every strap, rail, timing and limit of a kit and says what can't work. "
     "With --straps it explains what positions select and what that does to this kit's panel, "
     "before anything is switched on.",
     kCheck,
     {"strapline check stop-display", "strapline check ticket-machine --straps BR1=2-3 --json"}},
    {CommandId::kMatch,
     "match",
     {{{"PANEL", "a panel of the catalogue, or the path of a panel file"}, {}}},
     "rank the boards that can drive a panel",
     "Holds every board of the catalogue against a panel, wanted inputs and features: those that suit first, "
     "the widest margin first; of the others every reason why not, and what they fall short by. "
     "Ends in fail when no board suits.",
     kMatch,
     {"strapline match slate --input hdmi", "strapline match flint --need keypad --need rs-485 --json"}},
    {CommandId::kSheet,
     "sheet",
     kKitArgument,
     "write the build sheet of a kit, to print on two pages",
     "Writes what someone at the bench needs: panel, parts, "
     "the board drawn to scale with every connector and every strap in the position to set, wiring order, supply, "
     "input timing, settings, cautions, and every figure with its formula. "
     "A kit that can't work on paper gets its sheet too, with that on top, and the command ends in fail.",
     kSheet,
     {"strapline sheet stop-display -o stop-display.html", "strapline sheet ticket-machine -o board.svg"}},
    {CommandId::kCard,
     "card",
     kKitArgument,
     "draw a test card for a kit's panel, or what a fault makes of it",
     "Draws the card that the source should send, in the panel's window and shape. "
     "With --fault it draws what the eye would see of it on a unit that has this fault: "
     "the real bits go through the wrong wiring.",
     kCard,
     {"strapline card stop-display -o card.png",
      "strapline card stop-display -o wrong.png --fault mapping=jeida-24"}},
    {CommandId::kVerify,
     "verify",
     {{{"KIT", "the kit the unit was built to"}, {}}},
     "hold a unit against its kit over its serial line",
     "Takes one consistent set of readings of a unit and holds each against what the kit must read as. Ends in pass, "
     "fail or incomplete; what could not be known is named and never counts as good. "
     "A link sim:KIT starts a simulated unit beside the program, with faults on wish: sim:KIT?straps=BR1=2-3. "
     "A report in JSON keeps the readings; --snapshot judges them again, by the kit as it is now.",
     kVerify,
     {"strapline verify stop-display --link sim:stop-display --trace run.pcapng",
      "strapline verify ticket-machine --link 'sim:ticket-machine?straps=BR1=2-3'"}},
    {CommandId::kEdidShow,
     "edid show",
     {{{"FILE", kEdidFile}, {}}},
     "read an EDID: every value, and what is wrong with it",
     "Reads an EDID whatever it holds, shows every value with its place, "
     "and names everything that breaks the standard. Ends in fail when something does.",
     kEdidShow,
     {"strapline edid show stop-display.bin", "strapline edid show - --json"}},
    {CommandId::kEdidMake,
     "edid make",
     kKitArgument,
     "make the EDID that a kit's board should present",
     "Makes the EDID from the kit's panel and timing, in the form that the input's kind asks for.",
     kEdidMake,
     {"strapline edid make stop-display -o stop-display.bin",
      "strapline edid make ticket-machine -o edid.txt --maker QZX"}},
    {CommandId::kEdidDiff,
     "edid diff",
     {{{"A", kEdidFile}, {"B", kEdidFile}}},
     "compare two EDIDs value by value",
     "Names every value that two EDIDs don't share. Ends in fail when there is one.",
     kEdidDiff,
     {"strapline edid diff stop-display.bin edid.txt", "strapline edid diff - edid.txt --json"}},
    {CommandId::kTimingMake,
     "timing make",
     {{{"NAME", "as a standard names it: 'dmt 52h', 'cta 16', 'cvt-rb 1920 x 1080 @ 60 Hz'"}, {}}},
     "work out a timing from its name",
     "Shows every figure of a timing: VESA DMT, CTA-861, and what the formulas CVT, CVT-RB, "
     "RBv2 and GTF make of a size and a rate.",
     kTimingMake,
     {"strapline timing make 'dmt 52h'", "strapline timing make 'cvt-rb 1920 x 360 @ 60 Hz' --json"}},
    {CommandId::kTimingIdentify,
     "timing identify",
     {},
     "name the timings that a measured signal may be",
     "Holds what was measured against all timings it knows, nearest first: frequencies to half a percent, "
     "counts to two pixels or lines. Wrong polarities make a candidate more distant, not impossible. "
     "Ends in fail when there is none.",
     kTimingIdentify,
     {"strapline timing identify --h-khz 67.5 --v-hz 60",
      "strapline timing identify --h-total 2200 --v-total 1125 --v-hz 59.94 --json"}},
    {CommandId::kCatalogCheck,
     "catalog check",
     {{{"DIR", "a folder that holds panels/, boards/, cables/, supplies/, keypads/ or kits/"}, {}}},
     "name everything that is wrong with the files of a catalogue",
     "Reads every file of a folder as if each were used and names every error of all of them, "
     "and what loads but hardly means what it says. Ids are looked for in the folder first, "
     "then in the ordinary catalogue. Ends with 65 when there is an error; warnings alone are a pass.",
     kCatalogCheck,
     {"strapline catalog check host/catalog", "strapline catalog check . --json"}},
    {CommandId::kPorts,
     "ports",
     {},
     "list the serial ports of this machine without opening one",
     "Lists every serial port that is there: its lasting name, driver, USB serial number, "
     "how long the adapter holds octets back, and who uses it. Reads what the system shows and opens no port, "
     "so nothing on a line is disturbed. Ends in fail when there is none.",
     kPorts,
     {"strapline ports", "strapline ports --json"}},
    {CommandId::kScan,
     "scan",
     {{{"LINK", "where to look: /dev/ttyUSB0, tcp://host:port, mbtcp://host or sim:KIT", true}, {}}},
     "find the units on a line: speed, parity and address",
     "Listens first, then asks with read functions only: the probable speeds and addresses first, then the rest, "
     "until the time is over. What a link states is not tried otherwise: serial:/dev/ttyUSB0?baud=19200. "
     "Several links are searched at once; --trace takes one link at a time. "
     "Reads who each unit is, and recognises two units that share an address. Ends in 0 when units were found, "
     "in fail when two share an address, in 69 when nothing answered.",
     kScan,
     {"strapline scan sim:stop-display", "strapline scan sim:stop-display --addresses 1-8 --json"}},
    {CommandId::kTraceShow,
     "trace show",
     kTraceArgument,
     "show a wire trace as text, frame by frame, with what each means",
     "Shows time, direction, octets and meaning of every frame, and the points that an answer holds. "
     "A trace is a pcapng capture: tshark -d rtacser.data,mbrtu -r FILE reads it too. To judge it again offline, "
     "use it as a link: strapline verify KIT --link trace:FILE.",
     {},
     {"strapline trace show run.pcapng", "strapline --color never trace show run.pcapng"}},
    {CommandId::kTraceExtract,
     "trace extract",
     kTraceArgument,
     "write the readings in a wire trace to a table",
     "Writes one line for every point of every answer in the trace: time, unit, point, value and unit of measure.",
     kTraceExtract,
     {"strapline trace extract run.pcapng -o run.csv",
      "strapline trace extract run.pcapng -o rail.csv --point rails.panel_out_mv"}},
});

}  // namespace

std::span<const OptionSpec> global_options() {
  return kGlobal;
}

std::span<const CommandSpec> commands() {
  return kCommands;
}

const CommandSpec& command(CommandId id) {
  for (const auto& spec : kCommands) {
    if (spec.id == id) return spec;
  }
  return kCommands.front();
}

std::string_view group_of(const CommandSpec& spec) {
  const std::size_t space = spec.name.find(' ');
  return space == std::string_view::npos ? std::string_view{} : spec.name.substr(0, space);
}

std::string argument_names(const CommandSpec& spec) {
  std::string names;
  for (const auto& argument : spec.arguments) {
    if (argument.name.empty()) continue;
    if (!names.empty()) names += ' ';
    names += argument.name;
    if (argument.repeatable) names += "...";
  }
  return names;
}

}  // namespace host::cli
