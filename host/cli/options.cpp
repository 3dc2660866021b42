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
    {"--json", "", "", "", "print one JSON document (strapline/check/1)"},
});

constexpr auto kVerify = std::to_array<OptionSpec>({
    {"--link", "", "URL", "", "where the unit is: /dev/ttyUSB0, serial:/dev/ttyUSB0?baud=115200, or sim:KIT",
     true},
    {"--address", "", "N", "1", "the unit's address on the line, 1 to 247"},
    {"--serial", "", "S", "", "the serial number the unit must have, as scanned from its label"},
    {"--attest", "", "STRAP=POSITION", "", "what you have seen of a strap that the board can't sense", false,
     true},
    {"--by", "", "NAME", "", "who attests; needed with --attest"},
    {"--timeout", "", "TIME", "10s", "end after TIME whatever happens: 500ms, 10s, 2min"},
    {"--share", "", "", "", "talk although another master is heard on the line"},
    {"--json", "", "", "", "print one JSON document (strapline/verify/1)"},
    {"--report", "-o", "FILE", "", "also write the result to FILE, as text (.txt) or JSON (.json)", false,
     true},
});

constexpr auto kCommands = std::to_array<CommandSpec>({
    {CommandId::kCheck,
     "check",
     "KIT",
     "a kit of the catalogue, or the path of a kit file",
     "work out what a kit must read as, and judge it on paper",
     "Works out every strap, rail, timing and limit of a kit and says what can't work. With --straps it "
     "explains what "
     "positions select and what that does to this kit's panel, before anything is switched on.",
     kCheck,
     {"strapline check stop-display", "strapline check ticket-machine --straps BR1=2-3 --json"}},
    {CommandId::kVerify,
     "verify",
     "KIT",
     "the kit the unit was built to",
     "hold a unit against its kit over its serial line",
     "Takes one consistent set of readings of a unit and holds each against what the kit must read as. Ends "
     "in pass, "
     "fail or incomplete; what could not be known is named and never counts as good. A link sim:KIT starts a "
     "simulated "
     "unit beside the program, with faults on wish: sim:KIT?straps=BR1=2-3.",
     kVerify,
     {"strapline verify stop-display --link sim:stop-display",
      "strapline verify ticket-machine --link 'sim:ticket-machine?straps=BR1=2-3'"}},
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

}  // namespace host::cli
