#include <chrono>
#include <csignal>
#include <filesystem>

#include <doctest/doctest.h>
#include <sys/file.h>
#include <unistd.h>

#include "tests/e2e/pty.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using std::chrono::milliseconds;
using tests::support::Outcome;
using tests::support::Running;

TEST_SUITE("e2e/signal") {
  TEST_CASE("a signal ends a command with 128 and its number, and gives the port back as it was") {
    for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
      CAPTURE(number);
      const Pty pty;
      const auto before = settings_of(pty.near_end());
      Running running{strapline({"verify", "ticket-machine", "--link", pty.link(), "--timeout", "60s"})};
      REQUIRE(pty.heard_within(milliseconds{5000}));
      CHECK(flock(pty.near_end(), LOCK_EX | LOCK_NB) != 0);
      CHECK(settings_of(pty.near_end()) != before);
      const auto sent = std::chrono::steady_clock::now();
      running.signal(number);
      const Outcome outcome = running.finish();
      const auto took = std::chrono::steady_clock::now() - sent;
      INFO(outcome.err);
      CHECK(outcome.exit_code == 128 + number);
      CHECK(outcome.out.empty());
      CHECK(took < milliseconds{1000});
      CHECK(settings_of(pty.near_end()) == before);
      CHECK(flock(pty.near_end(), LOCK_EX | LOCK_NB) == 0);
    }
  }

  TEST_CASE("a signal ends a command that is still listening") {
    const Pty pty;
    Running running{
        strapline({"--log-level", "debug", "verify", "ticket-machine", "--link", "serial:" + pty.path()})};
    for (int tries = 0; tries < 500 && flock(pty.near_end(), LOCK_EX | LOCK_NB) == 0; ++tries) {
      flock(pty.near_end(), LOCK_UN);
      usleep(2000);
    }
    running.signal(SIGINT);
    CHECK(running.finish().exit_code == 130);
  }

  TEST_CASE("a signal ignored from the start stays ignored") {
    const Pty pty;
    auto launch = strapline({"verify", "ticket-machine", "--link", pty.link(), "--timeout", "1500ms"});
    launch.arguments.insert(launch.arguments.begin(),
                            {"-c", "trap '' HUP; exec \"$0\" \"$@\"", launch.program});
    launch.program = "sh";
    Running running{launch};
    REQUIRE(pty.heard_within(milliseconds{5000}));
    running.signal(SIGHUP);
    CHECK(running.finish().exit_code == 69);
  }

  TEST_CASE("a simulated unit ends with the command that started it") {
    const tests::support::TemporaryFolder folder;
    auto launch = strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine"});
    launch.environment["XDG_RUNTIME_DIR"] = folder.path();
    const Outcome outcome = tests::support::run(launch);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(std::filesystem::is_empty(folder.path()));
  }

  TEST_CASE("a simulated unit takes its folder with it when the command that started it is killed") {
    const tests::support::TemporaryFolder folder;
    auto launch = strapline(
        {"verify", "ticket-machine", "--address", "9", "--link", "sim:ticket-machine", "--timeout", "60s"});
    launch.environment["XDG_RUNTIME_DIR"] = folder.path();
    Running running{launch};
    const auto linked = [&folder] {
      for (const auto& entry : std::filesystem::recursive_directory_iterator{folder.path()}) {
        if (entry.path().filename() == "unit") return true;
      }
      return false;
    };
    for (int tries = 0; tries < 2'000 && !linked(); ++tries) usleep(2'000);
    REQUIRE(linked());
    running.signal(SIGKILL);
    (void)running.finish();
    for (int tries = 0; tries < 2'000 && !std::filesystem::is_empty(folder.path()); ++tries) usleep(2'000);
    CHECK(std::filesystem::is_empty(folder.path()));
  }
}
