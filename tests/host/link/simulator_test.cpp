#include "host/link/simulator.hpp"

#include <csignal>
#include <filesystem>
#include <fstream>
#include <thread>

#include <dirent.h>

#include "host/link/session.hpp"
#include "tests/host/link/pty.hpp"

using namespace host::link;
using protocol::base::milliseconds;
namespace fs = std::filesystem;

namespace {

/// Points the links at the stand-in and their folders at one of our own, for one test case.
struct Surroundings {
  Surroundings() {
    const fs::path here = fs::read_symlink("/proc/self/exe").parent_path();
    char name[] = "/tmp/strapline-test-XXXXXX";
    REQUIRE(::mkdtemp(name) != nullptr);
    folder = name;
    REQUIRE(::setenv("STRAPLINE_SIM", (here / "host_link_stand_in").c_str(), 1) == 0);
    REQUIRE(::setenv("XDG_RUNTIME_DIR", name, 1) == 0);
  }
  ~Surroundings() {
    (void)::unsetenv("STRAPLINE_SIM");
    (void)::unsetenv("XDG_RUNTIME_DIR");
    fs::remove_all(folder);
  }
  Surroundings(const Surroundings&) = delete;
  Surroundings& operator=(const Surroundings&) = delete;

  [[nodiscard]] bool is_clean() const { return fs::is_empty(folder); }

  fs::path folder;
};

Result<Session> open(const std::string& text, const CancelToken& stop, protocol::base::Duration span) {
  const auto link = parse_link(text);
  REQUIRE(link.has_value());
  return Session::open(*link, {}, Deadline::after(span), stop);
}

/// Whether `pid` runs; a dead one that nobody has waited for yet doesn't.
bool runs(pid_t pid) {
  std::ifstream status{"/proc/" + std::to_string(pid) + "/stat"};
  std::string text;
  std::getline(status, text);
  const std::size_t name_end = text.rfind(')');
  return name_end != std::string::npos && text.size() > name_end + 2 && text[name_end + 2] != 'Z';
}

std::string outcome(const Result<Session>& session) {
  return session ? "open"
                 : std::to_string(session.error().exit_code) + " " +
                       std::string{name_of(session.error().domain)} + " " + session.error().message;
}

}  // namespace

TEST_SUITE("host/link/simulator") {
  TEST_CASE("a simulated unit answers without having been listened for, and leaves nothing behind") {
    const Surroundings here;
    const CancelToken stop;
    pid_t pid = -1;
    {
      auto session = open("sim:known-kit", stop, milliseconds(10'000));
      REQUIRE_MESSAGE(session.has_value(), outcome(session));
      CHECK(session->read(Table::kInput, 0x1234, 1) == std::vector<std::uint16_t>{0x1234});
      CHECK(session->statistics().elapsed < milliseconds(1000));
      CHECK_FALSE(here.is_clean());
      for (const auto& entry : fs::directory_iterator("/proc")) {
        std::ifstream comm{entry.path() / "comm"};
        std::ifstream words{entry.path() / "cmdline"};
        std::string line;
        std::getline(words, line);
        if (contains(line, here.folder.string())) {
          pid = static_cast<pid_t>(std::stol(entry.path().filename().string()));
        }
      }
      REQUIRE(pid > 0);
      CHECK(runs(pid));
    }
    CHECK_FALSE(runs(pid));
    CHECK(::kill(pid, 0) != 0);
    CHECK(here.is_clean());
  }

  TEST_CASE("a simulator that refuses hands its exit code and last complaint on") {
    const Surroundings here;
    const CancelToken stop;
    CHECK(outcome(open("sim:unknown-kit", stop, milliseconds(10'000))) ==
          "66 file no kit 'unknown-kit'; did you mean 'known-kit'?");
    // Its colours don't reach our terminal.
    CHECK(outcome(open("sim:bad-strap", stop, milliseconds(10'000))) ==
          "64 caller  [31mBR9 is no strap of this board");
    CHECK(contains(outcome(open("sim:crash", stop, milliseconds(10'000))),
                   "74 port the simulator was ended by signal 9"));
    CHECK(here.is_clean());
  }

  TEST_CASE("kit, options and catalogue reach the simulator as they were written") {
    const Surroundings here;
    const CancelToken stop;
    const auto link = parse_link("sim:say-arguments?straps=BR1=2-3,BR2=1-2&fault=supply-low=10&seed=7&pace");
    REQUIRE(link.has_value());
    SessionOptions options;
    options.catalog = "/some/where";
    const std::string said =
        outcome(Session::open(*link, options, Deadline::after(milliseconds(10'000)), stop));
    CAPTURE(said);
    CHECK(contains(said, "65 file say-arguments --pty " + here.folder.string() + "/strapline-"));
    CHECK(contains(
        said,
        "/unit --remove-folder --quiet --catalog /some/where --straps BR1=2-3,BR2=1-2 --fault supply-low=10 "
        "--seed 7 --pace"));
  }

  TEST_CASE("a simulator that isn't there or never gets ready ends in time") {
    const Surroundings here;
    CancelToken stop;
    CHECK(contains(outcome(open("sim:never-ready", stop, milliseconds(150))),
                   "69 line the simulator didn't offer"));
    // One that won't end on request is ended by force.
    CHECK(contains(outcome(open("sim:stubborn", stop, milliseconds(150))),
                   "69 line the simulator didn't offer"));
    std::thread later{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
      stop.cancel(SIGINT);
    }};
    CHECK(contains(outcome(open("sim:never-ready", stop, milliseconds(60'000))), "130 caller"));
    later.join();
    CHECK(here.is_clean());
    REQUIRE(::setenv("STRAPLINE_SIM", "/nowhere/strapline-sim", 1) == 0);
    const CancelToken other;
    CHECK(contains(outcome(open("sim:known-kit", other, milliseconds(1000))),
                   "66 file the simulator /nowhere/"));
  }

  TEST_CASE("a simulator that ends in the middle says why") {
    const Surroundings here;
    const CancelToken stop;
    auto session = open("sim:mortal", stop, milliseconds(10'000));
    REQUIRE_MESSAGE(session.has_value(), outcome(session));
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t at = 0; words && at < 20; ++at) {
      words = session->read(Table::kInput, at, 20);
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kSimulatorEnded);
    CHECK(words.error().exit_code == 74);
    CHECK(contains(words.error().message, "exit code 3: the panel rail burned through"));
  }

  TEST_CASE("a simulator dies with its parent, however that ends") {
    const Surroundings here;
    const CancelToken stop;
    pid_t pid = -1;
    {
      std::optional<Result<Simulator>> kept;
      const Child parent{[&] {
                           kept = Simulator::start(SimLink{"known-kit", {}}, {},
                                                   Deadline::after(milliseconds(5000)), stop);
                           return *kept ? std::to_string((*kept)->pid()) : kept->error().message;
                         },
                         false};
      CAPTURE(parent.said);
      pid = static_cast<pid_t>(std::atol(parent.said.c_str()));
      REQUIRE(pid > 0);
      CHECK(runs(pid));
    }  // the parent is killed here, and could not tidy up
    for (int i = 0; i < 200 && runs(pid); ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    CHECK_FALSE(runs(pid));
  }
}
