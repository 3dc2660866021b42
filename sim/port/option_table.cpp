#include "sim/port/option_table.hpp"

#include <array>

namespace sim::port {
namespace {

constexpr auto kPorts = std::to_array<OptionSpec>({
    {"--pty", "LINKNAME", "", "a pseudo-terminal, with LINKNAME as the link to it", true},
    {"--tcp", "HOST:PORT", "",
     "RTU frames over TCP; PORT alone listens on this machine only, port 0 takes a "
     "free one and says which",
     true},
    {"--mbtcp", "HOST:PORT", "", "Modbus/TCP, the same way", true},
    {"--serial", "DEV", "",
     "a serial port, as /dev/ttyUSB0; a value without \"/\" is the unit's serial number", true},
});

constexpr auto kUnit = std::to_array<OptionSpec>({
    {"--straps", "POSITIONS", "", "where straps stand that aren't where they belong: BR1=2-3,S1=1001", true},
    {"--setting", "KEY=VALUE", "",
     "a setting of the unit: brightness, power_on, pwm_frequency, input or selection", true},
    {"--fault", "NAME[=ARG]", "", "something is wrong from the start; the names stand below", true},
    {"--source", "TIMING", "the kit's",
     "what the video source sends: \"dmt 52h\", \"cvt-rb 1280 x 800 @ 60 "
     "Hz\", or none"},
    {"--within", "edge", "", "a healthy unit anywhere inside all its tolerances, by seed"},
    {"--serial-number", "S", "SIM-000001", "what the unit says its serial number is; further units count on"},
    {"--address", "N", "1", "the unit's address, 1 to 247; further units count on"},
    {"--units", "N", "1", "this many units on each port"},
    {"--seed", "N", "1",
     "which unit of the series it is, and its noise; 0 is exactly nominal and reads "
     "exactly"},
    {"--state", "FILE", "",
     "keep settings, stamp, log, hours and cycles in FILE, as the unit's memory would"},
});

constexpr auto kLine = std::to_array<OptionSpec>({
    {"--pace", "", "",
     "octets take the time they take on the wire, and a request that comes too early is "
     "joined to what went before"},
    {"--baud", "N", "the board's", "speed of the line"},
    {"--parity", "PARITY", "the board's", "even, odd or none"},
    {"--stop", "N", "", "stop bits, 1 or 2; without parity 2, as the standard asks"},
    {"--turnaround", "TIME", "0 ms", "how long the unit thinks before it answers, as \"2 ms\""},
    {"--noise", "NOISE", "",
     "what the line does to octets: ber=P,drop=P,double=P,delay=\"20 ms\","
     "latency=\"16 ms\",echo",
     true},
});

constexpr auto kRun = std::to_array<OptionSpec>({
    {"--script", "FILE", "",
     "do what FILE says, when it says; ends in 1 when something expected there isn't "
     "so"},
    {"--speed", "N", "1", "virtual seconds in a real one; max: as fast as it goes, without a port"},
    {"--control", "PATH", "",
     "take commands on this socket while running: fault, mend, power, plug, key and others; "
     "\"help\" lists them"},
    {"--truth", "FILE", "", "write what is really so to FILE, a JSON document, anew with every change"},
    {"--seen", "FILE", "",
     "write what the eye sees of the test card to FILE, a .png: at the end, and with each \"seen\" of the "
     "control socket"},
    {"--catalog", "DIR", "", "look for kits, panels and boards in DIR first", true},
    {"--remove-folder", "", "",
     "at the end remove the folder of a pseudo-terminal's link too, if nothing else is in it"},
    {"--quiet", "", "", "don't say what is ready, nor how the line did"},
    {"--help", "", "", "print help and end"},
    {"--version", "", "", "print the version and end"},
});

constexpr auto kGroups = std::to_array<OptionGroup>({
    {"where it answers (at least one; each is a line with units of its own)", kPorts},
    {"the unit", kUnit},
    {"the line", kLine},
    {"the run", kRun},
});

}  // namespace

std::span<const OptionGroup> option_groups() {
  return kGroups;
}

}  // namespace sim::port
