// Someone presses Ctrl-C while verify runs, at each of its system calls.
#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include <doctest/doctest.h>

#include "tests/e2e/stand.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/e2e/watched.hpp"

using namespace tests::e2e;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

constexpr int kInterrupted = 128 + SIGINT;

struct Job {
  Way way;
  Call call;
};

std::vector<Job> every_call(const Stand& stand, std::array<Outcome, 3>& whole) {
  std::vector<Job> jobs;
  for (const Way way : {Way::kSerial, Way::kTcp, Way::kSimulator}) {
    Outcome& outcome = whole[static_cast<std::size_t>(way)];
    outcome = run(with_failing_call(stand.verify(way, 0), {}, 0));
    INFO(outcome.err);
    REQUIRE(outcome.exit_code == 0);
    const std::vector<Call> calls = calls_of(outcome);
    REQUIRE(calls.size() > 20);
    for (std::size_t i = 0; i < calls.size(); ++i) {
      if (!waits_on(calls, i)) jobs.push_back({way, calls[i]});
    }
  }
  return jobs;
}

// Programs that were told of `folder`.
int programs_of(const std::string& folder) {
  int count = 0;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator{"/proc", ignored}) {
    if (holds(tests::support::file_text(entry.path().string() + "/cmdline"), folder)) ++count;
  }
  return count;
}

// Jobs whose folder isn't empty.
std::vector<std::size_t> left_in(const std::string& folder) {
  std::vector<std::size_t> left;
  for (const auto& entry : std::filesystem::directory_iterator{folder}) {
    if (!std::filesystem::is_empty(entry)) left.push_back(std::stoul(entry.path().filename()));
  }
  return left;
}

// A simulator may outlive its command for a moment.
void wait_until_clear(const std::string& folder) {
  for (int tries = 0; tries < 250 && (programs_of(folder) > 0 || !left_in(folder).empty()); ++tries) {
    std::this_thread::sleep_for(std::chrono::milliseconds{20});
  }
}

}  // namespace

TEST_SUITE("e2e/interrupted_call") {
  TEST_CASE(
      "at whichever system call verify is interrupted, it ends at once, says all or nothing, leaves nothing") {
    if (!can_watch()) return;
    const Stand stand{Built::kRight};
    const TemporaryFolder scratch;
    std::array<Outcome, 3> whole;
    const std::vector<Job> jobs = every_call(stand, whole);
    const auto outcomes = run_all(jobs.size(), [&](std::size_t job, std::size_t lane) {
      Launch launch = stand.verify(jobs[job].way, lane);
      launch.environment["TMPDIR"] = scratch.path() + "/" + std::to_string(job);
      std::filesystem::create_directory(launch.environment["TMPDIR"]);
      return with_failing_call(launch, jobs[job].call, -SIGINT);
    });
    std::size_t interrupted = 0;
    for (std::size_t i = 0; i < jobs.size(); ++i) {
      const Outcome& outcome = outcomes[i];
      CAPTURE(static_cast<int>(jobs[i].way));
      CAPTURE(jobs[i].call.code);
      CAPTURE(jobs[i].call.nth);
      CAPTURE(outcome.err);
      CAPTURE(outcome.out);
      CHECK_FALSE(outcome.timed_out);
      interrupted += outcome.exit_code == kInterrupted ? 1 : 0;
      // Once the answer is out it stands, whatever the command ends with.
      if (outcome.exit_code == kInterrupted && outcome.out.empty()) continue;
      const std::string& out = whole[static_cast<std::size_t>(jobs[i].way)].out;
      CHECK((outcome.exit_code == kInterrupted || outcome.exit_code == 0));
      CHECK(holds(outcome.out, "verdict  PASS"));
      CHECK(std::count(outcome.out.begin(), outcome.out.end(), '\n') ==
            std::count(out.begin(), out.end(), '\n'));
    }
    CHECK(interrupted > jobs.size() / 2);
    wait_until_clear(scratch.path());
    for (const std::size_t job : left_in(scratch.path())) {
      CAPTURE(static_cast<int>(jobs[job].way));
      CAPTURE(jobs[job].call.code);
      CAPTURE(jobs[job].call.nth);
      FAIL_CHECK("a folder is left");
    }
    CHECK(programs_of(scratch.path()) == 0);
  }
}
