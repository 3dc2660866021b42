#include <chrono>
#include <csignal>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/sim/port/socket_client.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::support::Outcome;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

// How long mbpoll waits for an answer: its longest, for a machine that has much else to do. A unit that
// answers costs none of it.
constexpr std::chrono::seconds kRunMax{60};
constexpr const char* kPatience = "10";

Outcome run_mbpoll(std::vector<std::string> arguments, const std::vector<std::string>& what,
                   const std::string& where) {
  arguments.insert(arguments.end(), {"-0", "-1", "-q", "-o", kPatience});
  arguments.insert(arguments.end(), what.begin(), what.end());
  arguments.push_back(where);
  return tests::support::run({.program = "mbpoll", .arguments = arguments, .time_limit = kRunMax});
}

// A pseudo-terminal keeps no parity, and mbpoll insists on what it set; so it asks for none.
Outcome mbpoll(const std::string& link, const std::vector<std::string>& what) {
  return run_mbpoll({"-m", "rtu", "-a", "1", "-b", "115200", "-P", "none"}, what, link);
}

// Whether mbpoll printed this value for this register: "[320]: \t23983".
bool shows(const Outcome& outcome, int address, const std::string& value) {
  const std::string head = "[" + std::to_string(address) + "]:";
  const std::size_t at = outcome.out.find(head);
  if (at == std::string::npos) return false;
  const std::size_t begin = outcome.out.find_first_not_of(" \t", at + head.size());
  const std::size_t end = outcome.out.find_first_of(" \t\n", begin);
  return outcome.out.substr(begin, end - begin) == value;
}

}  // namespace

TEST_SUITE("peers/mbpoll") {
  TEST_CASE("mbpoll reads rails, straps, settings and a 32-bit clock of a stop display") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{{program_path("strapline-sim"),
                  {"stop-display", "--pty", link, "--seed", "0", "--catalog", source_path("host/catalog")}}};
    REQUIRE(unit.wait_for("ready: "));

    // Values: tests/sim/golden/golden_test.cpp.
    const Outcome rails = mbpoll(link, {"-t", "3", "-r", "320", "-c", "21"});
    CAPTURE(rails.err);
    CHECK(rails.exit_code == 0);
    CHECK(shows(rails, 320, "23983"));
    CHECK(shows(rails, 327, "12000"));
    CHECK(shows(rails, 328, "11990"));
    CHECK(shows(rails, 335, "1252"));

    const Outcome straps = mbpoll(link, {"-t", "3:hex", "-r", "256", "-c", "5"});
    CHECK(shows(straps, 256, "0x0004"));
    CHECK(shows(straps, 260, "0x0009"));

    // High word first: -B.
    const Outcome clock = mbpoll(link, {"-t", "3:int", "-B", "-r", "518", "-c", "1"});
    CHECK(shows(clock, 518, "148500"));

    const Outcome settings = mbpoll(link, {"-t", "4", "-r", "1025", "-c", "1"});
    CHECK(shows(settings, 1025, "800"));

    const Outcome beyond = mbpoll(link, {"-t", "3", "-r", "3840", "-c", "1"});
    CHECK(beyond.exit_code != 0);
    CHECK((beyond.out + beyond.err).find("Illegal data address") != std::string::npos);

    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
  }

  TEST_CASE("mbpoll sees a fault that is made while the unit runs, and its mending") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    const std::string control = folder.path() + "/control";
    Running unit{{program_path("strapline-sim"),
                  {"stop-display", "--pty", link, "--control", control, "--seed", "0", "--catalog",
                   source_path("host/catalog")}}};
    REQUIRE(unit.wait_for("ready: "));
    const tests::sim::port::SocketClient hand{control};
    // rails.panel_selected_mv and panel_out_mv; power.state is 4, on.
    const auto rails = [&link] { return mbpoll(link, {"-t", "3", "-r", "327", "-c", "2"}); };
    const Outcome before = rails();
    CHECK(shows(before, 327, "12000"));
    CHECK(shows(before, 328, "11990"));

    // A blown fuse: ahead of the switch the rail stands, behind it nothing is left.
    CHECK(hand.ask("fault panel-fuse-open") == "ok fault panel-fuse-open");
    Outcome during = rails();
    for (int tries = 0; tries < 20 && !shows(during, 328, "0"); ++tries) during = rails();
    CHECK(shows(during, 327, "12000"));
    CHECK(shows(during, 328, "0"));

    CHECK(hand.ask("mend panel-fuse-open") == "ok mend panel-fuse-open");
    Outcome after = rails();
    for (int tries = 0; tries < 20 && !shows(after, 328, "11990"); ++tries) after = rails();
    CHECK(shows(after, 328, "11990"));
    CHECK(hand.ask("fault serial-silent") == "ok fault serial-silent");
    CHECK(mbpoll(link, {"-o", "0.2", "-t", "3", "-r", "327", "-c", "2"}).exit_code != 0);
  }

  TEST_CASE("mbpoll writes a setting once it has armed the unit, and not outside its limits") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{{program_path("strapline-sim"),
                  {"stop-display", "--pty", link, "--seed", "0", "--catalog", source_path("host/catalog")}}};
    REQUIRE(unit.wait_for("ready: "));
    const auto write = [&link](const char* address, const char* value) {
      const std::vector<std::string> head{"-m",   "rtu", "-a",    "1",  "-b", "115200",  "-P",
                                          "none", "-0",  "-1",    "-q", "-o", kPatience, "-t",
                                          "4",    "-r",  address, link, value};
      return tests::support::run({.program = "mbpoll", .arguments = head, .time_limit = kRunMax});
    };
    const auto brightness = [&link] { return mbpoll(link, {"-t", "4", "-r", "1025", "-c", "1"}); };
    const auto says = [](const Outcome& outcome, const char* what) {
      return outcome.exit_code != 0 && (outcome.out + outcome.err).find(what) != std::string::npos;
    };
    CHECK(says(write("1025", "450"), "Slave device or server failure"));
    CHECK(shows(brightness(), 1025, "800"));
    // 6139h, the CRC of SIM-000001 and boot 1: tests/protocol/session/arming_test.cpp.
    CHECK(write("1056", "24889").exit_code == 0);
    CHECK(write("1025", "450").exit_code == 0);
    CHECK(shows(brightness(), 1025, "450"));
    CHECK(says(write("1025", "1001"), "Illegal data value"));
    CHECK(shows(brightness(), 1025, "450"));
    CHECK(write("1056", "0").exit_code == 0);
    CHECK(says(write("1025", "800"), "Slave device or server failure"));
  }

  TEST_CASE("mbpoll reads, writes and is refused over Modbus/TCP") {
    Running unit{{program_path("strapline-sim"),
                  {"stop-display", "--mbtcp", "127.0.0.1:0", "--seed", "0", "--catalog",
                   source_path("host/catalog")}}};
    REQUIRE(unit.wait_for("ready: mbtcp://127.0.0.1:"));
    const std::string head = "127.0.0.1:";
    const std::size_t at = unit.err().find(head) + head.size();
    const std::string port = unit.err().substr(at, unit.err().find_first_not_of("0123456789", at) - at);
    const auto over_tcp = [&](const std::vector<std::string>& what) {
      return run_mbpoll({"-m", "tcp", "-a", "1", "-p", port}, what, "127.0.0.1");
    };
    const Outcome rails = over_tcp({"-t", "3", "-r", "320", "-c", "21"});
    CAPTURE(rails.err);
    CHECK(rails.exit_code == 0);
    CHECK(shows(rails, 320, "23983"));
    CHECK(shows(rails, 335, "1252"));
    CHECK(shows(over_tcp({"-t", "3:int", "-B", "-r", "518", "-c", "1"}), 518, "148500"));
    // Bit 2 of strap word 0, register 256, as a discrete input: 16 n + b.
    CHECK(shows(over_tcp({"-t", "1", "-r", "4098", "-c", "1"}), 4098, "1"));
    const Outcome beyond = over_tcp({"-t", "3", "-r", "3840", "-c", "1"});
    CHECK(beyond.exit_code != 0);
    CHECK((beyond.out + beyond.err).find("Illegal data address") != std::string::npos);
  }
}
