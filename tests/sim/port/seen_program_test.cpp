#include <csignal>
#include <filesystem>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/sim/port/socket_client.hpp"
#include "tests/support/run_program.hpp"

// The picture of what the eye sees, as a file. A PNG begins with eight octets, then the header's length and
// name, width and height, most significant octet first (ISO/IEC 15948, 5.2 and 11.2.2).

namespace {

using tests::sim::port::SocketClient;
using tests::support::file_text;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::run;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

std::vector<std::string> arguments(std::vector<std::string> more) {
  more.insert(more.begin(), "stop-display");
  more.insert(more.end(), {"--seed", "0", "--catalog", source_path("host/catalog")});
  return more;
}

Outcome seen_at_end(const TemporaryFolder& folder, const std::string& file, const std::string& fault) {
  const std::string script =
      folder.write("end.toml", "title = \"ten seconds\"\n[[expect]]\nat = \"10 s\"\nscreen = \"picture\"\n");
  std::vector<std::string> more{"--script", script, "--speed", "max", "--seen", file};
  if (!fault.empty()) more.insert(more.end(), {"--fault", fault});
  return run({program_path("strapline-sim"), arguments(more)});
}

int number_at(const std::string& octets, std::size_t at) {
  int number = 0;
  for (std::size_t i = at; i < at + 4; ++i) number = number * 256 + static_cast<unsigned char>(octets.at(i));
  return number;
}

}  // namespace

TEST_SUITE("sim/port/seen_program") {
  TEST_CASE("at the end of a script the picture is there, of the panel's size, and the same each time") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/seen.png";
    REQUIRE(seen_at_end(folder, file, "").exit_code == 0);
    const std::string good = file_text(file);
    REQUIRE(good.size() > 100);
    CHECK(good.starts_with("\x89PNG\r\n\x1a\n"));
    CHECK(number_at(good, 16) == 1'920);  // the panel's window, not its raster of 1920 x 1080
    CHECK(number_at(good, 20) == 360);
    CHECK_FALSE(std::filesystem::exists(file + ".new"));
    REQUIRE(seen_at_end(folder, file, "").exit_code == 0);
    CHECK(file_text(file) == good);
    REQUIRE(seen_at_end(folder, file, "panel-channels-swapped").exit_code == 0);
    CHECK(file_text(file) != good);
  }

  TEST_CASE("while it runs the picture follows \"seen\", of the first unit alone") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/seen.png";
    Running unit{{program_path("strapline-sim"),
                  arguments({"--pty", folder.path() + "/unit", "--control", folder.path() + "/control",
                             "--units", "2", "--seen", file})}};
    REQUIRE(unit.wait_for("ready: "));
    const std::string good = file_text(file);  // there before anyone can ask
    CHECK(good.starts_with("\x89PNG\r\n\x1a\n"));
    const SocketClient hand{folder.path() + "/control"};
    CHECK(hand.ask("seen") == "ok screen picture, look -, when always");
    CHECK(file_text(file) == good);
    REQUIRE(hand.ask("unit 2 fault backlight-cable-out").starts_with("ok "));
    CHECK(hand.ask("unit 2 seen") == "ok screen dark-image, look -, when always");
    CHECK(file_text(file) == good);
    REQUIRE(hand.ask("fault scan-direction-reversed").starts_with("ok "));
    CHECK(file_text(file) == good);
    CHECK(hand.ask("seen") == "ok screen picture, look mirrored, when always");
    CHECK(file_text(file) != good);
    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
  }

  TEST_CASE("a file that can't be written: 73 and one line, and nothing is served") {
    const TemporaryFolder folder;
    const std::string nowhere = folder.path() + "/no/such/seen.png";
    const Outcome script = seen_at_end(folder, nowhere, "");
    CHECK(script.exit_code == 73);
    CHECK(script.err.find(nowhere) != std::string::npos);
    CHECK(script.err.find("No such file or directory") != std::string::npos);
    const Outcome port = run(
        {program_path("strapline-sim"), arguments({"--pty", folder.path() + "/unit", "--seen", nowhere})});
    CHECK(port.exit_code == 73);
    CHECK(port.err.find("ready") == std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder.path() + "/unit"));
  }

  TEST_CASE("a file that can't be written any more: told to who asks, and the unit goes on") {
    const TemporaryFolder folder;
    std::filesystem::create_directory(folder.path() + "/pictures");
    const std::string file = folder.path() + "/pictures/seen.png";
    Running unit{{program_path("strapline-sim"), arguments({"--pty", folder.path() + "/unit", "--control",
                                                            folder.path() + "/control", "--seen", file})}};
    REQUIRE(unit.wait_for("ready: "));
    std::filesystem::remove_all(folder.path() + "/pictures");
    const SocketClient hand{folder.path() + "/control"};
    const std::string answer = hand.ask("seen");
    CHECK(answer.starts_with("error: "));
    CHECK(answer.find("seen.png") != std::string::npos);
    CHECK(hand.ask("truth").starts_with("ok {"));
    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
  }
}
