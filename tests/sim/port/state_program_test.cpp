#include <csignal>
#include <filesystem>
#include <fstream>
#include <string>

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/sim/port/socket_client.hpp"
#include "tests/support/json_document.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::sim::port::SocketClient;
using tests::support::file_text;
using tests::support::Launch;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

Launch simulator(const TemporaryFolder& folder) {
  return {program_path("strapline-sim"),
          {"stop-display", "--pty", folder.path() + "/unit", "--control", folder.path() + "/control",
           "--state", folder.path() + "/state", "--speed", "50", "--catalog", source_path("host/catalog")}};
}

// The value of a line of the state file's memory.
std::string kept(const TemporaryFolder& folder, const std::string& key) {
  const std::string text = file_text(folder.path() + "/state");
  const std::size_t at = text.find("\n" + key + " ");
  if (at == std::string::npos) return {};
  const std::size_t begin = at + key.size() + 2;
  return text.substr(begin, text.find('\n', begin) - begin);
}

}  // namespace

TEST_SUITE("sim/port/state_program") {
  TEST_CASE("settings, log, hours and cycles go on where they were, whatever ended the program") {
    const TemporaryFolder folder;
    std::string brightness = "800000";
    long cycles = 0;
    for (int kill = 0; kill < 12; ++kill) {
      CAPTURE(kill);
      Running unit{simulator(folder)};
      REQUIRE(unit.wait_for("ready: "));
      CHECK(unit.err().find("damaged") == std::string::npos);
      const std::string wanted = std::to_string(10 + kill) + "0000";
      {
        const SocketClient hand{folder.path() + "/control"};
        CHECK(hand.ask("setting brightness=" + std::to_string(10 + kill) + " %").starts_with("ok"));
        // Once it is kept, a kill loses nothing of it; between, it keeps what was before.
        if (kill % 2 == 0) {
          for (int i = 0; i < 500 && kept(folder, "brightness_ppm") != wanted; ++i) ::usleep(5'000);
          REQUIRE(kept(folder, "brightness_ppm") == wanted);
          brightness = wanted;
        }
      }
      unit.signal(kill % 4 == 1 ? SIGTERM : SIGKILL);
      (void)unit.finish();
      if (kill % 4 == 1) brightness = wanted;
      const std::string found = kept(folder, "brightness_ppm");
      CHECK((found == brightness || found == wanted));
      brightness = found;
      CHECK(std::stol("0" + kept(folder, "power_cycles")) > cycles);
      cycles = std::stol("0" + kept(folder, "power_cycles"));
    }
    CHECK(file_text(folder.path() + "/state").find("\nlog ") != std::string::npos);
  }

  TEST_CASE("a damaged memory is told, and the unit has its defaults and says that its settings were lost") {
    const TemporaryFolder folder;
    std::ofstream{folder.path() + "/state"} << "strapline-state 1 7 3 00000000\nabc";
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    CHECK(unit.err().find("the unit has lost its settings") != std::string::npos);
    const SocketClient hand{folder.path() + "/control"};
    const auto truth = tests::support::JsonDocument::parse(hand.ask("truth").substr(3));
    CHECK(truth["faults"][0] == "settings-lost");
  }

  TEST_CASE("a place where no memory can be kept ends the start, and leaves what is there alone") {
    const TemporaryFolder folder;
    const std::string pipe = folder.path() + "/pipe";
    const std::string link = folder.path() + "/link";
    REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
    std::filesystem::create_symlink(pipe, link);
    for (const std::string& place : {pipe, link, folder.path(), folder.path() + "/no-folder/state"}) {
      CAPTURE(place);
      for (const std::string option : {"--state", "--truth"}) {
        CAPTURE(option);
        const auto outcome = tests::support::run({program_path("strapline-sim"),
                                                  {"stop-display", "--pty", folder.path() + "/unit", option,
                                                   place, "--catalog", source_path("host/catalog")}});
        CHECK((outcome.exit_code == 73 || outcome.exit_code == 74));
        CHECK(outcome.err.find(folder.path()) != std::string::npos);
        CHECK(outcome.err.find("ready: ") == std::string::npos);
      }
    }
    CHECK(std::filesystem::is_fifo(pipe));
    CHECK(std::filesystem::is_symlink(link));
  }

  TEST_CASE("a memory behind a link is kept at the end of the link") {
    const TemporaryFolder folder;
    const std::string end = folder.path() + "/kept";
    std::ofstream{end}.flush();
    std::filesystem::create_symlink(end, folder.path() + "/state");
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    unit.signal(SIGTERM);
    (void)unit.finish();
    CHECK(std::filesystem::is_symlink(folder.path() + "/state"));
    CHECK(file_text(end).starts_with("strapline-state 1 "));
  }

  TEST_CASE("more than one unit can't keep one file") {
    auto launch = simulator(TemporaryFolder{});
    launch.arguments.insert(launch.arguments.end(), {"--units", "2"});
    CHECK(tests::support::run(launch).exit_code == 64);
  }
}
