#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "tests/support/run_program.hpp"

namespace {

namespace fs = std::filesystem;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;
using Octets = std::vector<std::uint8_t>;

Launch simulator(std::vector<std::string> arguments) {
  arguments.insert(arguments.end(), {"--catalog", source_path("host/catalog")});
  return {program_path("strapline-sim"), std::move(arguments)};
}

// A client of the pseudo-terminal: opens it raw, as a program that talks Modbus would.
class Client {
 public:
  explicit Client(const std::string& link) : fd_{::open(link.c_str(), O_RDWR | O_NOCTTY)} {
    REQUIRE(fd_ >= 0);
    termios raw{};
    REQUIRE(::tcgetattr(fd_, &raw) == 0);
    ::cfmakeraw(&raw);
    REQUIRE(::tcsetattr(fd_, TCSANOW, &raw) == 0);
  }
  ~Client() { ::close(fd_); }
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;

  [[nodiscard]] int fd() const { return fd_; }

  void set_speed(speed_t speed) const {
    termios settings{};
    REQUIRE(::tcgetattr(fd_, &settings) == 0);
    ::cfsetspeed(&settings, speed);
    REQUIRE(::tcsetattr(fd_, TCSANOW, &settings) == 0);
  }

  void send(const Octets& octets) const {
    REQUIRE(::write(fd_, octets.data(), octets.size()) == static_cast<ssize_t>(octets.size()));
  }

  // What comes until nothing has come for 200 ms, or `enough` octets are there.
  [[nodiscard]] Octets receive(std::size_t enough) const {
    Octets got;
    pollfd wish{fd_, POLLIN, 0};
    while (got.size() < enough && ::poll(&wish, 1, 200) > 0) {
      std::array<std::uint8_t, 256> piece{};
      const ssize_t count = ::read(fd_, piece.data(), piece.size());
      if (count <= 0) break;
      got.insert(got.end(), piece.begin(), piece.begin() + count);
    }
    return got;
  }

 private:
  int fd_;
};

// rails.panel_selected_mv at 147h of the stop display's unit, 12000 mV = 2EE0h. CRCs: golden_test.cpp says
// how.
const Octets kRequest{0x01, 0x04, 0x01, 0x47, 0x00, 0x01, 0x80, 0x23};
const Octets kAnswer{0x01, 0x04, 0x02, 0x2E, 0xE0, 0xA5, 0x18};

}  // namespace

TEST_SUITE("sim/port/program") {
  TEST_CASE("the help ends with two examples") {
    const Outcome outcome = tests::support::run({program_path("strapline-sim"), {"--help"}});
    CHECK(outcome.exit_code == 0);
    CHECK(outcome.err.empty());
    const std::size_t examples = outcome.out.find("examples:\n");
    REQUIRE(examples != std::string::npos);
    const std::string tail = outcome.out.substr(examples);
    CHECK(std::count(tail.begin(), tail.end(), '\n') >= 3);
    CHECK(tail.find("  strapline-sim stop-display --pty") != std::string::npos);
  }

  TEST_CASE("help and version that can't be written end 74") {
    for (const std::string option : {"--help", "--version"}) {
      for (const std::string sink : {"/dev/full", "-"}) {
        CAPTURE(sink);
        auto launch = simulator({option});
        launch.stdout_to = sink;
        CHECK(tests::support::run(launch).exit_code == 74);
      }
    }
  }

  TEST_CASE("a kit that isn't there ends 66, a bad file 65, and no link is left") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    const Outcome missing = tests::support::run(simulator({"stop-dispaly", "--pty", link}));
    CHECK(missing.exit_code == 66);
    CHECK(missing.err.find("stop-display") != std::string::npos);
    const std::string bad = folder.write("bad.toml", "title = 5\n");
    CHECK(tests::support::run(simulator({bad, "--pty", link})).exit_code == 65);
    CHECK_FALSE(fs::exists(fs::symlink_status(link)));
  }

  TEST_CASE("a strap, setting or source that can't be ends 64 with one line") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    const std::vector<std::vector<std::string>> mistakes{
        {"--straps", "BR9=1-2"},         {"--straps", "BR2=1-9"}, {"--setting", "volume=11"},
        {"--setting", "brightness=dim"}, {"--source", "dmt 99h"}, {"--noise", "hum"}};
    for (const auto& mistake : mistakes) {
      CAPTURE(mistake[1]);
      const Outcome outcome =
          tests::support::run(simulator({"stop-display", "--pty", link, mistake[0], mistake[1]}));
      CHECK(outcome.exit_code == 64);
      CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
      CHECK_FALSE(fs::exists(fs::symlink_status(link)));
    }
  }

  TEST_CASE("what stands in the way of the link is left alone, a link that leads nowhere is replaced") {
    const TemporaryFolder folder;
    const std::string file = folder.write("file", "precious\n");
    const Outcome refused = tests::support::run(simulator({"stop-display", "--pty", file}));
    CHECK(refused.exit_code == 73);
    CHECK(refused.err.find(file) != std::string::npos);
    CHECK(tests::support::file_text(file) == "precious\n");

    const std::string live_link = folder.path() + "/live";
    fs::create_symlink(file, live_link);
    CHECK(tests::support::run(simulator({"stop-display", "--pty", live_link})).exit_code == 73);
    CHECK(fs::read_symlink(live_link) == file);

    CHECK(tests::support::run(simulator({"stop-display", "--pty", folder.path() + "/no/such"})).exit_code ==
          73);

    const std::string stale = folder.path() + "/stale";
    fs::create_symlink(folder.path() + "/gone", stale);
    Running unit{simulator({"stop-display", "--pty", stale})};
    REQUIRE(unit.wait_for("ready: " + stale));
    CHECK(fs::exists(stale));
    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
  }

  TEST_CASE("each signal ends it with its code, quietly, and takes the link away") {
    for (const auto& [signal, code] : {std::pair{SIGTERM, 143}, {SIGINT, 130}, {SIGHUP, 129}}) {
      CAPTURE(signal);
      const TemporaryFolder folder;
      const std::string link = folder.path() + "/unit";
      Running unit{simulator({"cab-display", "--pty", link})};
      REQUIRE(unit.wait_for("ready: " + link + "\n"));
      unit.signal(signal);
      const Outcome outcome = unit.finish();
      CHECK(outcome.exit_code == code);
      CHECK(outcome.out.empty());
      CHECK(outcome.err == "ready: " + link + "\n");
      CHECK_FALSE(fs::exists(fs::symlink_status(link)));
    }
  }

  TEST_CASE("one client after another is answered, also behind one that left half a request") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{simulator({"stop-display", "--pty", link, "--seed", "0"})};
    REQUIRE(unit.wait_for("ready: "));
    for (int i = 0; i < 5; ++i) {
      CAPTURE(i);
      {
        const Client hasty{link};
        hasty.send({0x01, 0x04, 0x01});
      }
      {
        const Client deaf{link};  // asks, and goes without reading the answer
        deaf.send(kRequest);
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(20));
      const Client client{link};
      client.send(kRequest);
      CHECK(client.receive(kAnswer.size()) == kAnswer);
    }
  }

  TEST_CASE("a client's claim to the port ends with the client") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{simulator({"stop-display", "--pty", link})};
    REQUIRE(unit.wait_for("ready: "));
    {
      const Client greedy{link};
      REQUIRE(::ioctl(greedy.fd(), TIOCEXCL) == 0);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    const Client next{link};
    int claimed = -1;
    REQUIRE(::ioctl(next.fd(), TIOCGEXCL, &claimed) == 0);
    CHECK(claimed == 0);
  }

  TEST_CASE("another address stays silent, the unit's own answers") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{simulator({"stop-display", "--pty", link, "--address", "17"})};
    REQUIRE(unit.wait_for("ready: "));
    const Client client{link};
    client.send(kRequest);
    CHECK(client.receive(1).empty());
    // MODBUS Application Protocol V1.1b3, 6.8.2, at address 17.
    client.send({0x11, 0x08, 0x00, 0x00, 0xA5, 0x37, 0xD8, 0x1D});
    CHECK(client.receive(8) == Octets{0x11, 0x08, 0x00, 0x00, 0xA5, 0x37, 0xD8, 0x1D});
  }

  TEST_CASE("faults of the line strike as often as the program says at its end") {
    struct Row {
      const char* noise;
      std::size_t octets;  // that come for three requests
      const char* said;
    };
    const std::size_t size = kAnswer.size();
    for (const Row& row :
         {Row{"drop=1", 0, "line: 3 answers dropped in 3 answers\n"},
          Row{"double=1", 6 * size, "line: 3 answers doubled in 3 answers\n"},
          Row{"echo", 3 * (size + kRequest.size()), "line: 24 octets echoed in 3 answers\n"},
          Row{"delay=5 ms", 3 * size, "line: 3 answers delayed in 3 answers\n"},
          Row{"latency=4 ms", 3 * size, "line: 3 pieces held by the adapter in 3 answers\n"}}) {
      CAPTURE(std::string{row.noise});
      const TemporaryFolder folder;
      const std::string link = folder.path() + "/unit";
      Running unit{simulator({"stop-display", "--pty", link, "--seed", "0", "--noise", row.noise})};
      REQUIRE(unit.wait_for("ready: "));
      std::size_t got = 0;
      {
        const Client client{link};
        for (int i = 0; i < 3; ++i) {
          client.send(kRequest);
          got += client.receive(row.octets / 3 + 1).size();
        }
      }
      CHECK(got == row.octets);
      unit.signal(SIGTERM);
      CHECK(unit.finish().err == "ready: " + link + "\n" + row.said);
    }
  }

  TEST_CASE("flipped bits are counted one by one") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{simulator(
        {"stop-display", "--pty", link, "--seed", "0", "--noise", "ber=0.02,echo", "--parity", "none"})};
    REQUIRE(unit.wait_for("ready: "));
    // The echo is what was sent, so that what differs in the answers is the line's; most requests are lost.
    int flipped = 0;
    {
      const Client client{link};
      for (int i = 0; i < 20; ++i) {
        client.send(kRequest);
        const Octets got = client.receive(kRequest.size() + kAnswer.size());
        for (std::size_t k = kRequest.size(); k < got.size(); ++k) {
          flipped += __builtin_popcount(static_cast<unsigned>(got[k] ^ kAnswer[k - kRequest.size()]));
        }
      }
    }
    unit.signal(SIGTERM);
    const std::string said = unit.finish().err;
    const std::size_t at = said.find("line: ");
    REQUIRE(at != std::string::npos);
    CHECK(std::stoi(said.substr(at + 6)) >= flipped);  // those of requests are counted too
    CHECK(said.find(" bits flipped") != std::string::npos);
  }

  TEST_CASE("paced, the line has the client's speed: at the unit's it is answered, at another it is noise") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{simulator({"stop-display", "--pty", link, "--seed", "0", "--pace", "--baud", "19200"})};
    REQUIRE(unit.wait_for("ready: "));
    {
      const Client client{link};
      client.set_speed(B19200);
      client.send(kRequest);
      CHECK(client.receive(kAnswer.size()) == kAnswer);
      client.set_speed(B9600);
      ::usleep(10'000);  // 3.5 characters of 19200 baud are 2 ms: what comes sooner belongs to the answer
      client.send(kRequest);
      CHECK(client.receive(kAnswer.size()) != kAnswer);
      client.set_speed(B19200);
      client.send(kRequest);
      CHECK(client.receive(kAnswer.size()) == kAnswer);
    }
    unit.signal(SIGTERM);
    const std::string said = unit.finish().err;
    CHECK(said.find("octets damaged") != std::string::npos);
    CHECK(said.find("pace: ") != std::string::npos);
    CHECK(said.find(" pieces handed on, late by ") != std::string::npos);
  }
}
