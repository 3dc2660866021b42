#include "host/link/url.hpp"

#include <string>
#include <variant>

#include <doctest/doctest.h>

using namespace host::link;

namespace {

SerialLink serial(std::string_view text) {
  const auto link = parse_link(text);
  REQUIRE_MESSAGE(link.has_value(), (link ? "" : link.error().message));
  REQUIRE(std::holds_alternative<SerialLink>(link->target));
  return std::get<SerialLink>(link->target);
}

SimLink sim(std::string_view text) {
  const auto link = parse_link(text);
  REQUIRE_MESSAGE(link.has_value(), (link ? "" : link.error().message));
  REQUIRE(std::holds_alternative<SimLink>(link->target));
  return std::get<SimLink>(link->target);
}

bool contains(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("host/link/url") {
  TEST_CASE("a serial link says device, speed, parity, stop bits and whose the line is") {
    const SerialLink link = serial("serial:/dev/ttyUSB0?baud=115200&parity=even&stop=1&own=yes");
    CHECK(link.path == "/dev/ttyUSB0");
    CHECK(link.baud == 115200);
    CHECK(link.parity == Parity::kEven);
    CHECK(link.stop_bits == 1);
    CHECK(link.own);
    CHECK_FALSE(serial("serial:/dev/ttyS1?own=no").own);
    CHECK(serial("serial:ttyS1").path == "ttyS1");
  }

  TEST_CASE("anything with a slash and no scheme is a device") {
    CHECK(serial("/dev/ttyS0").path == "/dev/ttyS0");
    CHECK(serial("./unit").path == "./unit");
    CHECK(serial("links/unit?baud=9600").baud == 9600);
    // Names under by-path hold colons.
    CHECK(serial("/dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0").path ==
          "/dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0");
    CHECK_FALSE(serial("/dev/ttyS0").own);
    CHECK_FALSE(serial("/dev/ttyS0").baud.has_value());
  }

  TEST_CASE("percent signs decode, pluses stay") {
    CHECK(serial("serial:/tmp/a%20b%3fc").path == "/tmp/a b?c");
    CHECK(sim("sim:K?straps=BR1=1-2+3-4").options.front().value == "BR1=1-2+3-4");
    CHECK(sim("sim:kits%2Fmine.toml").kit == "kits/mine.toml");
  }

  TEST_CASE("a simulator link keeps its options in order, with equals signs and commas in their values") {
    const SimLink link =
        sim("sim:stop-display?straps=BR1=2-3,BR2=1-2&fault=supply-low=10&fault=lamp-worn&pace");
    CHECK(link.kit == "stop-display");
    REQUIRE(link.options.size() == 4);
    CHECK(link.options[0] == SimOption{"straps", "BR1=2-3,BR2=1-2"});
    CHECK(link.options[1] == SimOption{"fault", "supply-low=10"});
    CHECK(link.options[2] == SimOption{"fault", "lamp-worn"});
    CHECK(link.options[3] == SimOption{"pace", std::nullopt});
    CHECK(sim("sim:./kits/mine.toml").kit == "./kits/mine.toml");
    CHECK(sim("sim:K?noise=").options.front() == SimOption{"noise", ""});
    CHECK(sim("sim:K?serial=T-1&seed=0&state=/tmp/s&turnaround=2 ms").options.size() == 4);
  }

  TEST_CASE("what can't be read ends with 64, the part that is wrong and what would be right") {
    struct Row {
      std::string_view link, part, right;
    };
    const Row rows[]{
        {"", "empty", "serial:"},
        {"ttyUSB0", "'ttyUSB0'", "/dev/ttyUSB0"},
        {"stop-display", "'stop-display'", "sim:KIT"},
        {"usb:/dev/ttyUSB0", "'usb:'", "serial:"},
        {"serial:", "no device", "serial:/dev/"},
        {"serial:?baud=9600", "no device", "serial:/dev/"},
        {"serial:/dev/x?baud=fast", "'fast'", "whole number"},
        {"serial:/dev/x?baud=0", "'0'", "from 50"},
        {"serial:/dev/x?baud=-9600", "'-9600'", "whole number"},
        {"serial:/dev/x?baud=9600x", "'9600x'", "whole number"},
        {"serial:/dev/x?baud=99999999999999999999", "baud=", "4000000"},
        {"serial:/dev/x?baud", "baud=''", "whole number"},
        {"serial:/dev/x?baud=9600&baud=19200", "twice", "once"},
        {"serial:/dev/x?parity=odd&parity=odd", "'parity' is given twice", "once"},
        {"serial:/dev/x?stop=1&baud=9600&stop=2", "'stop' is given twice", "once"},
        {"serial:/dev/x?own=yes&own=no", "'own' is given twice", "once"},
        {"serial:/dev/x?rs485=no&rs485=yes", "'rs485' is given twice", "once"},
        {"serial:/dev/x?parity=mark", "'mark'", "none, even or odd"},
        {"serial:/dev/x?stop=1.5", "'1.5'", "1 or 2"},
        {"serial:/dev/x?own=maybe", "'maybe'", "yes or no"},
        {"serial:/dev/x?bits=7", "'bits'", "baud, parity, stop, own and rs485"},
        {"serial:/dev/x?", "without a name", "name=value"},
        {"serial:/dev/x?baud=9600&", "without a name", "name=value"},
        {"serial:/dev/x?=9600", "without a name", "name=value"},
        {"serial:/dev/%2", "'2'", "%25"},
        {"serial:/dev/%zz", "'zz'", "%25"},
        {"serial:/dev/%00x", "0x00", "control"},
        {"serial:/dev/\x1b[2J", "0x1b", "control"},
        {"sim:", "no kit", "sim:KIT"},
        {"sim:?straps=BR1=1-2", "no kit", "sim:KIT"},
        {"sim:--help", "no kit", "sim:KIT"},
        {"sim:K?pty=/tmp/x", "pty", "the link decides"},
        {"sim:K?tcp=0.0.0.0:1", "tcp", "the link decides"},
        {"sim:K?serial=/dev/ttyS0", "serial port", "serial number"},
        {"sim:K?seed=-1", "seed='-1'", "from 0"},
        {"sim:K?seed=", "seed=''", "from 0"},
        {"sim:K?falt=lamp-worn", "'falt'", "fault"},
        {"sim:K?Straps=x", "'Straps'", "lower-case"},
        {"sim:K?-x=1", "'-x'", "lower-case"},
    };
    for (const Row& row : rows) {
      CAPTURE(row.link);
      const auto link = parse_link(row.link);
      REQUIRE_FALSE(link.has_value());
      CHECK(link.error().exit_code == 64);
      CHECK(link.error().domain == Domain::kCaller);
      CAPTURE(link.error().message);
      CAPTURE(link.error().remedy);
      CHECK(contains(link.error().message, row.part));
      CHECK(contains(link.error().remedy, row.right));
    }
  }

  TEST_CASE("hostile text is refused whole and shown without its control characters") {
    CHECK_FALSE(parse_link(std::string(5000, 'a') + "/").has_value());
    const auto link = parse_link("\x1b]0;x\x07");
    REQUIRE_FALSE(link.has_value());
    CHECK_FALSE(contains(link.error().message, "\x1b"));
    // Every octet alone and behind each scheme: an answer, never a crash.
    for (int octet = 0; octet < 256; ++octet) {
      for (const char* scheme : {"", "serial:", "sim:", "sim:K?", "serial:/x?", "serial:/x?baud=", "/%"}) {
        (void)parse_link(scheme + std::string(1, static_cast<char>(octet)));
      }
    }
  }

  TEST_CASE("TCP links name host and port, IPv6 addresses in brackets") {
    struct Row {
      std::string_view text, host;
      std::uint16_t port;
      Framing framing;
      bool own;
    };
    const Row rows[]{
        {"tcp://127.0.0.1:4001", "127.0.0.1", 4001, Framing::kRtu, false},
        {"tcp://[::1]:4001?own=yes", "::1", 4001, Framing::kRtu, true},
        {"tcp://moxa-7.depot:1", "moxa-7.depot", 1, Framing::kRtu, false},
        {"mbtcp://unit", "unit", 502, Framing::kMbap, true},
        {"mbtcp://[fe80::1%eth0]", "fe80::1%eth0", 502, Framing::kMbap, true},
        {"mbtcp://[fe80::1%25eth0]", "fe80::1%eth0", 502, Framing::kMbap, true},  // RFC 6874, 2
        {"tcp://[fe80::1%25]:1", "fe80::1%25", 1, Framing::kRtu, false},          // an interface by number
        {"mbtcp://[2001:db8::7]:65535", "2001:db8::7", 65535, Framing::kMbap, true},
    };
    for (const Row& row : rows) {
      CAPTURE(row.text);
      const auto link = parse_link(row.text);
      REQUIRE(link.has_value());
      REQUIRE(std::holds_alternative<TcpLink>(link->target));
      const auto& tcp = std::get<TcpLink>(link->target);
      CHECK(tcp.host == row.host);
      CHECK(tcp.port == row.port);
      CHECK(tcp.framing == row.framing);
      CHECK(tcp.own == row.own);
    }
    const auto trace = parse_link("trace:/tmp/a%20b.pcapng");
    REQUIRE(trace.has_value());
    CHECK(std::get<TraceLink>(trace->target).path == "/tmp/a b.pcapng");
  }

  TEST_CASE("what can't be a TCP link ends with 64 and says how to write one") {
    struct Row {
      std::string_view link, part, right;
    };
    const Row rows[]{
        {"tcp://", "no host", "tcp://host:port"},
        {"tcp://host", "no port", "tcp://host:port"},
        {"tcp://:502", "no host", "tcp://host:port"},
        {"tcp://host:", "no port", "1 to 65535"},
        {"tcp://host:0", "no port", "1 to 65535"},
        {"tcp://host:65536", "no port", "1 to 65535"},
        {"tcp://host:+5", "no port", "1 to 65535"},
        {"tcp://host:5x", "no port", "1 to 65535"},
        {"tcp://::1:502", "no host", "tcp://[::1]"},
        {"tcp://fe80::1", "without brackets", "tcp://[::1]"},
        {"tcp://[::1", "never closed", "tcp://[::1]"},
        {"tcp://[]:502", "no host", "tcp://host:port"},
        {"tcp://[::1]502", "no port", "1 to 65535"},
        {"tcp://ho st:1", "can't be a host", "tcp://host:port"},
        {"tcp://ho/st:1", "can't be a host", "tcp://host:port"},
        {"tcp://a@b:1", "can't be a host", "tcp://host:port"},
        {"tcp://h:1?baud=9600", "'baud'", "own"},
        {"tcp://h:1?own=no&own=yes", "'own' is given twice", "once"},
        {"tcp://h%25eth0:1", "can't be a host", "tcp://host:port"},
        {"tcp://h:1?own=perhaps", "'perhaps'", "yes or no"},
        {"mbtcp://h?own=yes", "'own'", "no options"},
        {"trace:", "no file", "trace:FILE"},
        {"serial:/dev/x?rs485=maybe", "'maybe'", "rs485 is yes"},
    };
    for (const Row& row : rows) {
      CAPTURE(row.link);
      const auto link = parse_link(row.link);
      REQUIRE_FALSE(link.has_value());
      CHECK(link.error().exit_code == 64);
      CAPTURE(link.error().message);
      CAPTURE(link.error().remedy);
      CHECK(contains(link.error().message, std::string{row.part}));
      CHECK(contains(link.error().remedy, std::string{row.right}));
    }
    CHECK(parse_link("tcp://" + std::string(254, 'h') + ":1").error().exit_code == 64);
    CHECK(std::get<SerialLink>(parse_link("/dev/x?rs485=yes")->target).rs485 == Rs485::kByKernel);
  }

  TEST_CASE("what a link leaves out is the board's, and stop bits follow parity") {
    const LineSettings board{115200, Parity::kEven, 1};
    CHECK(settled(serial("/dev/x"), board) == board);
    CHECK(settled(serial("/dev/x?baud=9600"), board) == LineSettings{9600, Parity::kEven, 1});
    CHECK(settled(serial("/dev/x?parity=none"), board) == LineSettings{115200, Parity::kNone, 2});
    CHECK(settled(serial("/dev/x?parity=none&stop=1"), board) == LineSettings{115200, Parity::kNone, 1});
    CHECK(settled(serial("/dev/x?parity=none"), {9600, Parity::kNone, 1}) ==
          LineSettings{9600, Parity::kNone, 1});
    CHECK(bits_per_character({9600, Parity::kNone, 1}) == 10);
    CHECK(bits_per_character(board) == 11);
    CHECK(to_text(board) == "115200 Bd 8E1");
  }
}
