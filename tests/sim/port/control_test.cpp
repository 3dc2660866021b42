#include <csignal>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>
#include <sys/stat.h>

#include "tests/sim/port/socket_client.hpp"
#include "tests/support/json_document.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::sim::port::SocketClient;
using tests::support::JsonDocument;
using tests::support::Launch;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

Launch simulator(const TemporaryFolder& folder, std::vector<std::string> more = {}) {
  std::vector<std::string> arguments{"stop-display",
                                     "--pty",
                                     folder.path() + "/unit",
                                     "--control",
                                     folder.path() + "/control",
                                     "--seed",
                                     "0",
                                     "--catalog",
                                     source_path("host/catalog")};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return {program_path("strapline-sim"), arguments};
}

}  // namespace

TEST_SUITE("sim/port/control") {
  TEST_CASE("every command is answered by one line, and does what it says") {
    const TemporaryFolder folder;
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    const SocketClient hand{folder.path() + "/control"};
    const auto truth = [&hand] {
      const std::string line = hand.ask("truth");
      REQUIRE(line.starts_with("ok {"));
      return JsonDocument::parse(line.substr(3));
    };
    CHECK(truth()["faults"].empty());
    const std::string cap = truth()["straps"]["BR2"].text();
    CHECK(cap == "3-4");  // 12 V, as the kit's panel wants it

    CHECK(hand.ask("fault backlight-cable-out") == "ok fault backlight-cable-out");
    CHECK(truth()["faults"][0] == "backlight-cable-out");
    CHECK(hand.ask("mend backlight-cable-out") == "ok mend backlight-cable-out");
    CHECK(truth()["faults"].empty());
    CHECK(hand.ask("strap BR2=1-2") == "ok strap BR2=1-2");
    CHECK(truth()["straps"]["BR2"] == "1-2");
    for (const char* command :
         {"power off", "power on", "power 20 V", "unplug", "plug dmt 52h", "setting brightness=60 %",
          "ambient 40 °C", "reset", "fault serial-silent", "mend serial-silent"}) {
      CAPTURE(std::string{command});
      CHECK(hand.ask(command) == "ok " + std::string{command});
    }
    CHECK(hand.ask("seen").starts_with("ok screen "));
    CHECK(hand.ask("help").find("fault NAME[=ARG]") != std::string::npos);
    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
    CHECK_FALSE(std::filesystem::exists(folder.path() + "/control"));
  }

  TEST_CASE("the end of what a client says ends its last line") {
    const TemporaryFolder folder;
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    const SocketClient hand{folder.path() + "/control"};
    hand.send("fault panel-fuse-open\nfault backlight-cable-out");
    hand.end();
    CHECK(hand.line() == "ok fault panel-fuse-open");
    CHECK(hand.line() == "ok fault backlight-cable-out");
    CHECK(hand.closes());
    const std::string truth = SocketClient{folder.path() + "/control"}.ask("truth");
    CHECK(truth.find("panel-fuse-open") != std::string::npos);
    CHECK(truth.find("backlight-cable-out") != std::string::npos);
  }

  TEST_CASE("what can't be done says why in one line, and nothing changes") {
    const TemporaryFolder folder;
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    const SocketClient hand{folder.path() + "/control"};
    const std::string before = hand.ask("truth");
    for (const char* command : {"",
                                "dance",
                                "fault",
                                "falt x",
                                "fault lamp-wornn",
                                "fault supply-low=many",
                                "mend supply-low",
                                "mend nothing",
                                "strap BR9=1-2",
                                "strap BR2=9-9",
                                "strap BR2",
                                "setting volume=11",
                                "setting",
                                "plug dmt 99h",
                                "ambient hot",
                                "ambient 4000 °C",
                                "power 1 kV",
                                "key dance",
                                "unit 2 truth",
                                "unit",
                                "unit x truth",
                                "unplug now",
                                "\x01",
                                "fault serial-settings=fast"}) {
      CAPTURE(std::string{command});
      const std::string answer = hand.ask(command);
      CAPTURE(answer);
      CHECK(answer.starts_with("error: "));
      CHECK(answer.size() < 1'200);
    }
    CHECK(hand.ask("truth") == before);
  }

  TEST_CASE("only its owner may open it, a second simulator leaves it alone, a dead one's is replaced") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/control";
    {
      Running unit{simulator(folder)};
      REQUIRE(unit.wait_for("ready: "));
      struct stat file{};
      REQUIRE(::stat(path.c_str(), &file) == 0);
      CHECK((file.st_mode & 0777) == 0600);
      auto second = simulator(folder);
      second.arguments[2] += "-2";
      CHECK(tests::support::run(second).exit_code == 73);
      CHECK(SocketClient{path}.ask("truth").starts_with("ok "));
      unit.signal(SIGKILL);
      (void)unit.finish();
    }
    CHECK(std::filesystem::exists(path));
    Running again{simulator(folder)};
    REQUIRE(again.wait_for("ready: "));
    CHECK(SocketClient{path}.ask("truth").starts_with("ok "));
    const std::string file = folder.write("file", "precious\n");
    auto other = simulator(folder);
    other.arguments[2] += "-3";
    other.arguments[4] = file;
    CHECK(tests::support::run(other).exit_code == 73);
    CHECK(tests::support::file_text(file) == "precious\n");
  }

  TEST_CASE("hostile clients get an error, an end, or no room, and the socket goes on") {
    const TemporaryFolder folder;
    Running unit{simulator(folder)};
    REQUIRE(unit.wait_for("ready: "));
    const std::string path = folder.path() + "/control";
    {
      const SocketClient endless{path};
      endless.send(std::string(4'000, 'x'));
      CHECK(endless.line().starts_with("error: a command has at most"));
      CHECK(endless.closes());
      const SocketClient deaf{path};  // asks a lot and never listens
      std::string many;
      for (int i = 0; i < 200; ++i) many += "truth\n";
      for (int i = 0; i < 50; ++i) (void)deaf.send(std::vector<std::uint8_t>{many.begin(), many.end()});
      const SocketClient patient{path};
      for (int i = 0; i < 300; ++i) REQUIRE(patient.ask("seen").starts_with("ok "));  // each has its turn
      CHECK(deaf.closes());
    }
    {
      std::vector<std::unique_ptr<SocketClient>> crowd;
      crowd.reserve(8);
      for (int i = 0; i < 8; ++i) crowd.push_back(std::make_unique<SocketClient>(path));
      CHECK(crowd.back()->ask("truth").starts_with("ok "));
      const SocketClient late{path};
      CHECK(late.line() == "error: too many at this socket");
    }
    for (int i = 0; i < 50; ++i) {
      if (SocketClient{path}.ask("truth").starts_with("ok ")) break;
    }
    CHECK(SocketClient{path}.ask("truth").starts_with("ok "));
  }
}
