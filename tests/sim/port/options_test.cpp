#include "sim/port/options.hpp"

#include <vector>

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"

using sim::port::Options;
using sim::port::parse_options;
using sim::port::with_straps;
using sim::unit::Positions;

namespace {

tl::expected<Options, sim::port::Ending> parsed(std::vector<const char*> arguments) {
  arguments.insert(arguments.begin(), "strapline-sim");
  return parse_options(static_cast<int>(arguments.size()), arguments.data());
}

}  // namespace

TEST_SUITE("sim/port/options") {
  TEST_CASE("a whole command line is read, repeated options too") {
    const auto options = parsed({"stop-display", "--pty", "/tmp/x", "--straps", "BR1=1-2,S1=1001", "--straps",
                                 "BR2=1-2+3-4", "--source", "none", "--setting", "brightness=60 %", "--seed",
                                 "9", "--address", "247", "--serial", "T-1"});
    REQUIRE(options);
    CHECK(options->kit == "stop-display");
    CHECK(options->straps.size() == 3);
    CHECK(options->straps[1] == std::pair<std::string, std::string>{"S1", "1001"});
    CHECK(options->straps[2] == std::pair<std::string, std::string>{"BR2", "1-2+3-4"});
    CHECK(options->settings[0] == std::pair<std::string, std::string>{"brightness", "60 %"});
    CHECK(options->source == "none");
    CHECK(options->seed == 9);
    CHECK(options->address == 247);
    CHECK(options->serial == "T-1");
  }

  TEST_CASE("ports of every kind, in any number, and the line's settings") {
    using Kind = sim::port::PortSpec::Kind;
    const auto options = parsed({"stop-display",
                                 "--pty",
                                 "/tmp/x",
                                 "--pty",
                                 "/tmp/y",
                                 "--tcp",
                                 "0",
                                 "--mbtcp",
                                 "[::1]:502",
                                 "--serial",
                                 "/dev/ttyUSB0",
                                 "--serial",
                                 "T-1",
                                 "--pace",
                                 "--baud",
                                 "9600",
                                 "--parity",
                                 "none",
                                 "--turnaround",
                                 "2 ms",
                                 "--noise",
                                 "ber=1e-5",
                                 "--noise",
                                 "echo,latency=16 ms",
                                 "--speed",
                                 "60",
                                 "--units",
                                 "3"});
    REQUIRE(options);
    REQUIRE(options->ports.size() == 5);
    CHECK(options->ports[1] == sim::port::PortSpec{Kind::kPty, "/tmp/y"});
    CHECK(options->ports[2] == sim::port::PortSpec{Kind::kTcp, "0"});
    CHECK(options->ports[3] == sim::port::PortSpec{Kind::kMbtcp, "[::1]:502"});
    CHECK(options->ports[4] == sim::port::PortSpec{Kind::kSerial, "/dev/ttyUSB0"});
    CHECK(options->serial == "T-1");
    CHECK(options->pace);
    CHECK(options->turnaround == protocol::base::milliseconds(2));
    CHECK(options->noise.echo);
    CHECK(options->noise.bit_errors == 1e-5);
    CHECK(options->speed == 60);
    // Without parity two stop bits, so that a character has its eleven: MODBUS over Serial Line V1.02, 2.5.1.
    const auto format = line_format(tests::sim::elm_kit().board, *options);
    CHECK(format == sim::line::CharacterFormat{9'600, sim::line::Parity::kNone, 2});
    CHECK(parsed({"stop-display", "--script", "s.toml", "--speed", "max"})->speed == std::nullopt);
  }

  TEST_CASE("serial numbers count on at their end, and stay sixteen octets") {
    using sim::port::serial_of;
    CHECK(serial_of("SIM-000001", 0) == "SIM-000001");
    CHECK(serial_of("SIM-000001", 41) == "SIM-000042");
    CHECK(serial_of("SIM-99", 1) == "SIM-100");
    CHECK(serial_of("ALDER", 1) == "ALDER-2");
    CHECK(serial_of("ABCDEFGHIJKLMNO9", 1) == "BCDEFGHIJKLMNO10");
    CHECK(serial_of("1234567890123456", 1) == "1234567890123457");
  }

  TEST_CASE("every mistake ends 64 with one line") {
    const std::vector<std::vector<const char*>> mistakes{
        {},
        {"stop-display"},
        {"stop-display", "--pty"},
        {"stop-display", "--pty", "/tmp/x", "--wrong"},
        {"stop-display", "--pty", "/tmp/x", "--straps", "BR1"},
        {"stop-display", "--pty", "/tmp/x", "--straps", "BR1=1-2,"},
        {"stop-display", "--pty", "/tmp/x", "--straps", "BR2=1-2,BR3=1-2,BR2=3-4"},
        {"stop-display", "--pty", "/tmp/x", "--setting", "brightness"},
        {"stop-display", "--pty", "/tmp/x", "--address", "0"},
        {"stop-display", "--pty", "/tmp/x", "--address", "248"},
        {"stop-display", "--pty", "/tmp/x", "--seed", "x"},
        {"stop-display", "--pty", "/tmp/x", "--serial", "seventeen-octets-"},
        {"stop-display", "--pty", "/tmp/x", "--serial", "a\tb"},
        {"stop-display", "--pty", "/tmp/x", "another"},
        {"stop-display", "--pty", "/tmp/x", "--seed", "-1"},
        {"stop-display", "--pty", "/tmp/x", "--seed=-1"},
        {"stop-display", "--pty", "/tmp/x", "--seed", "1", "--seed", "2"},
        {"stop-display", "--pty", ""},
        {"stop-display", "--pty", "/tmp/x", "--units", "0"},
        {"stop-display", "--pty", "/tmp/x", "--units", "248"},
        {"stop-display", "--pty", "/tmp/x", "--units", "2", "--address", "247"},
        {"stop-display", "--pty", "/tmp/x", "--units", "2", "--state", "/tmp/s"},
        {"stop-display", "--pty", "/tmp/x", "--pty", "/tmp/y", "--state", "/tmp/s"},
        {"stop-display", "--pty", "/tmp/x", "--within", "reason"},
        {"stop-display", "--pty", "/tmp/x", "--speed", "0"},
        {"stop-display", "--pty", "/tmp/x", "--speed", "-1"},
        {"stop-display", "--pty", "/tmp/x", "--speed", "nan"},
        {"stop-display", "--pty", "/tmp/x", "--speed", "max"},
        {"stop-display", "--speed", "max"},
        {"stop-display", "--script", "s.toml", "--speed", "max", "--pty", "/tmp/x"},
        {"stop-display", "--script", "s.toml", "--speed", "max", "--control", "/tmp/c"},
        {"stop-display", "--pty", "/tmp/x", "--baud", "0"},
        {"stop-display", "--pty", "/tmp/x", "--baud", "fast"},
        {"stop-display", "--pty", "/tmp/x", "--parity", "mark"},
        {"stop-display", "--pty", "/tmp/x", "--stop", "3"},
        {"stop-display", "--pty", "/tmp/x", "--turnaround", "2"},
        {"stop-display", "--pty", "/tmp/x", "--turnaround", "-1 ms"},
        {"stop-display", "--pty", "/tmp/x", "--noise", "hum"},
        {"stop-display", "--pty", "/tmp/x", "--serial", "A", "--serial-number", "B"}};
    for (std::size_t i = 0; i < mistakes.size(); ++i) {
      CAPTURE(i);
      const auto options = parsed(mistakes[i]);
      REQUIRE_FALSE(options);
      CHECK(options.error().code == 64);
      CHECK(options.error().text.starts_with("strapline-sim: "));
      CHECK(options.error().text.find('\n') == options.error().text.size() - 1);
    }
  }

  TEST_CASE("given straps replace single positions and leave the others") {
    const host::model::Board board = tests::sim::elm_kit().board;
    const auto positions =
        with_straps(board, {{2}, {2}, {2}, {0}, {0}}, {{"BR1", "1-2+3-4"}, {"S1", "1001"}});
    REQUIRE(positions);
    CHECK(*positions == Positions{{0b101}, {2}, {0b1001}, {0}, {0}});
  }

  TEST_CASE("a strap the board hasn't, or a position the strap hasn't, says what there is") {
    const host::model::Board board = tests::sim::elm_kit().board;
    const Positions healthy{{2}, {2}, {2}, {0}, {0}};
    const auto unknown = with_straps(board, healthy, {{"BR9", "1-2"}});
    REQUIRE_FALSE(unknown);
    CHECK(unknown.error().code == 64);
    CHECK(unknown.error().text.find("BR1, BR2, S1, BR3, BR4") != std::string::npos);
    for (const char* position : {"4-5", "1-3", "1-2+2-3", "1001", ""}) {
      CAPTURE(position);
      const auto impossible = with_straps(board, healthy, {{"BR1", position}});
      REQUIRE_FALSE(impossible);
      CHECK(impossible.error().code == 64);
      CHECK(impossible.error().text.find("BR1") != std::string::npos);
    }
  }
}
