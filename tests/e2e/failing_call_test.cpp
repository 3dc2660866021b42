#include <set>
#include <string>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::run;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

namespace {

constexpr int kCannotWatch = 77;
constexpr int kNotStarted = 127;
constexpr int kInputOutputError = 5;  // EIO
constexpr int kInterrupted = 4;       // EINTR

Launch with_failing_call(long number, int error, const std::string& link) {
  Launch launch = strapline({"verify", "ticket-machine", "--link", link, "--timeout", "1s"});
  launch.arguments.insert(launch.arguments.begin(),
                          {std::to_string(number), std::to_string(error), launch.program});
  launch.program = program_path("e2e_failing_call");
  launch.time_limit = std::chrono::seconds{10};
  return launch;
}

}  // namespace

// The unit's panel supply is strapped to 5 V, so that a pass would be false whatever else went wrong.
TEST_SUITE("e2e/failing_call") {
  TEST_CASE("whichever system call of verify fails, it never passes and comes to a clear end") {
    const TemporaryFolder folder;
    const std::string unit = folder.path() + "/unit";
    Launch simulator;
    simulator.program = program_path("strapline-sim");
    simulator.arguments = {"ticket-machine",           "--pty", unit, "--straps", "BR1=2-3", "--catalog",
                           source_path("host/catalog")};
    simulator.time_limit = std::chrono::minutes{2};
    Running running{simulator};
    REQUIRE(running.wait_for("ready"));
    const std::string link = "serial:" + unit + "?own=yes";

    const Outcome whole = run(with_failing_call(0, kInputOutputError, link));
    if (whole.exit_code == kCannotWatch) {
      MESSAGE("system calls can't be watched on this machine");
      return;
    }
    INFO(whole.err);
    REQUIRE(whole.exit_code == 1);
    const std::size_t at = whole.err.rfind("calls ");
    REQUIRE(at != std::string::npos);
    const long calls = std::stol(whole.err.substr(at + 6));
    REQUIRE(calls > 100);

    // Sysexits as the program means them; 127 is the loader's, which couldn't start it and says why in its
    // own words.
    const std::set<int> clear{1, 2, 65, 66, 69, 70, 73, 74, 77, kNotStarted};
    // The loader's own first calls, made before it can complain.
    constexpr long kFirst = 3;
    long judged = 0;
    for (long number = kFirst; number <= calls; ++number) {
      CAPTURE(number);
      // Interruption is no failure; every fifth call tells enough.
      const int error = number % 5 == 0 ? kInterrupted : kInputOutputError;
      const Outcome outcome = run(with_failing_call(number, error, link));
      CAPTURE(outcome.err);
      CHECK_FALSE(outcome.timed_out);
      CHECK(clear.contains(outcome.exit_code));
      CHECK_FALSE(holds(outcome.out, "verdict  PASS"));
      const bool says = outcome.exit_code == kNotStarted ? !outcome.err.empty()
                        : outcome.exit_code == 1
                            ? holds(outcome.out, "verdict  FAIL, DANGER")
                            : holds(outcome.err, ": ") || holds(outcome.out, "verdict  ");
      CHECK(says);
      judged += outcome.exit_code == 1 ? 1 : 0;
    }
    CHECK(judged > 20);     // what hardly matters is survived
    CHECK(judged < calls);  // and what matters is noticed
  }
}
