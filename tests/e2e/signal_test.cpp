#include <cerrno>
#include <chrono>
#include <csignal>
#include <filesystem>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/e2e/pty.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using std::chrono::milliseconds;
using tests::support::Outcome;
using tests::support::Running;
using tests::support::TemporaryFolder;

namespace {

/// A pipe of one page with a name, whose reader reads nothing.
class StuckPipe {
 public:
  explicit StuckPipe(const TemporaryFolder& folder) : path_{folder.path() + "/stuck"} {
    REQUIRE(mkfifo(path_.c_str(), 0600) == 0);
    ends_ = open(path_.c_str(), O_RDWR | O_NONBLOCK | O_CLOEXEC);
    REQUIRE(ends_ >= 0);
    constexpr int kPage = 4096;
    REQUIRE(fcntl(ends_, F_SETPIPE_SZ, kPage) >= kPage);
  }
  ~StuckPipe() { close(ends_); }
  StuckPipe(const StuckPipe&) = delete;
  StuckPipe& operator=(const StuckPipe&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }

  void fill() const {
    const std::string some(512, '.');
    while (write(ends_, some.data(), some.size()) > 0) {
    }
    REQUIRE(errno == EAGAIN);
  }

 private:
  std::string path_;
  int ends_ = -1;
};

// Whether the process rests in a system call, by what stands behind its name in brackets. Source  proc(5).
bool is_waiting(pid_t pid) {
  const std::string stat = tests::support::file_text("/proc/" + std::to_string(pid) + "/stat");
  return stat.find(") S ") != std::string::npos;
}

}  // namespace

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

  // It used to end in 74 with 'Interrupted system call'.
  TEST_CASE("a signal ends a command whose answer nobody reads, whether some of it has left or none") {
    for (const int number : {SIGINT, SIGTERM}) {
      for (const bool full : {true, false}) {
        CAPTURE(number);
        CAPTURE(full);
        const TemporaryFolder folder;
        const StuckPipe pipe{folder};
        if (full) pipe.fill();
        const std::string report = folder.path() + "/report.json";
        auto launch = strapline(
            {"verify", "ticket-machine", "--json", "--link", "sim:ticket-machine", "--report", report});
        launch.stdout_to = pipe.path();
        Running running{launch};
        // Once the report is there, nothing is left to wait for but the pipe.
        const auto stuck = [&] { return std::filesystem::exists(report) && is_waiting(running.pid()); };
        for (int tries = 0; tries < 5'000 && !stuck(); ++tries) usleep(2'000);
        REQUIRE(stuck());
        running.signal(number);
        const Outcome outcome = running.finish();
        CHECK_FALSE(outcome.timed_out);
        CHECK(outcome.exit_code == 128 + number);
        CHECK(outcome.err.empty());
      }
    }
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

  // It used to be ended by the death of its parent before it could notice that, and the folder stayed.
  TEST_CASE("a simulated unit takes its folder with it, too, when the command is killed while it starts") {
    const tests::support::TemporaryFolder folder;
    const tests::support::TemporaryFolder stage;
    const std::string slow =
        stage.write("slow", "#!/usr/bin/env bash\n: > '" + stage.path() + "/begun'\nwhile [ ! -e '" +
                                stage.path() + "/go' ]; do sleep 0.01; done\nexec '" +
                                tests::support::program_path("strapline-sim") + "' \"$@\"\n");
    std::filesystem::permissions(slow, std::filesystem::perms::owner_all);
    auto launch = strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine", "--timeout", "60s"});
    launch.environment["XDG_RUNTIME_DIR"] = folder.path();
    launch.environment["STRAPLINE_SIM"] = slow;
    Running running{launch};
    const auto begun = [&stage] { return std::filesystem::exists(stage.path() + "/begun"); };
    for (int tries = 0; tries < 2'000 && !begun(); ++tries) usleep(2'000);
    REQUIRE(begun());
    running.signal(SIGKILL);
    (void)running.finish();
    (void)stage.write("go", "");
    for (int tries = 0; tries < 2'000 && !std::filesystem::is_empty(folder.path()); ++tries) usleep(2'000);
    CHECK(std::filesystem::is_empty(folder.path()));
  }
}
