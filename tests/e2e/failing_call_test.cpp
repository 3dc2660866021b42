#include <algorithm>
#include <array>
#include <cerrno>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <sys/syscall.h>

#include "tests/e2e/stand.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/e2e/watched.hpp"

using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;

namespace {

#ifdef SYS_poll
constexpr long kPoll = SYS_poll;
#else
constexpr long kPoll = -1;  // calls aren't watched there
#endif

long lines_of(const std::string& text) {
  return std::count(text.begin(), text.end(), '\n');
}

// Indented lines show the place in a file.
int complaints_in(const std::string& text) {
  std::istringstream lines{text};
  int complaints = 0;
  for (std::string line; std::getline(lines, line);) complaints += line.starts_with(' ') ? 0 : 1;
  return complaints;
}

// An end is clear that is a whole and true verdict, or one complaint that says what went wrong. `whole` is
// what comes where nothing fails.
void check_end(const Outcome& outcome, const Outcome& whole, Built built) {
  CHECK_FALSE(outcome.timed_out);
  // Sysexits as the program means them; 127 is the loader's, which couldn't start it.
  const std::set<int> clear{0, 1, 2, 65, 66, 69, 70, 73, 74, 77, 127};
  CHECK(clear.contains(outcome.exit_code));
  const bool right = built == Built::kRight;
  CHECK_FALSE(holds(outcome.out, right ? "verdict  FAIL" : "verdict  PASS"));
  if (outcome.exit_code == (right ? 0 : 1)) {
    CHECK(holds(outcome.out, right ? "verdict  PASS" : "verdict  FAIL, DANGER"));
    CHECK(lines_of(outcome.out) == lines_of(whole.out));
  } else if (outcome.exit_code == 2) {
    CHECK(holds(outcome.out, "verdict  INCOMPLETE"));
  } else if (outcome.exit_code == 127) {
    CHECK_FALSE(outcome.err.empty());
  } else {
    CHECK(outcome.exit_code >= 64);
    CHECK(outcome.err.starts_with("strapline: "));
    CHECK(complaints_in(outcome.err) == 1);
  }
}

struct Job {
  Way way;
  Call call;
  int error;
};

// A wait that was interrupted is taken up again.
bool is_taken_up(const Job& job) {
  const std::set<long> waits{kPoll, SYS_ppoll, SYS_sendto, SYS_recvfrom, SYS_wait4};
  return job.error == EINTR && waits.contains(job.call.code);
}

// Each call of each way with the errors that `errors` gives for it. What all ways begin with alike is tried
// on the first.
template <typename Errors>
void fail_each_call(const Stand& stand, const Errors& errors) {
  // The loader's own first calls, made before it can complain.
  constexpr std::size_t kFirst = 2;
  std::vector<Job> jobs;
  std::vector<Call> first;
  std::array<Outcome, 3> whole;
  for (const Way way : {Way::kSerial, Way::kTcp, Way::kSimulator}) {
    Outcome& outcome = whole[static_cast<std::size_t>(way)];
    outcome = run(with_failing_call(stand.verify(way, 0), {}, 0));
    INFO(outcome.err);
    REQUIRE(outcome.exit_code == (stand.built() == Built::kRight ? 0 : 1));
    const std::vector<Call> calls = calls_of(outcome);
    const auto same = [](const Call& one, const Call& other) { return one.code == other.code; };
    const auto unlike = std::mismatch(calls.begin(), calls.end(), first.begin(), first.end(), same).first;
    const std::size_t begin = std::max(kFirst, static_cast<std::size_t>(unlike - calls.begin()));
    REQUIRE(calls.size() > begin + 20);
    for (std::size_t i = begin; i < calls.size(); ++i) {
      if (waits_on(calls, i)) continue;
      for (const int error : errors(calls[i])) jobs.push_back({way, calls[i], error});
    }
    if (first.empty()) first = calls;
  }
  const auto outcomes = run_all(jobs.size(), [&](std::size_t job, std::size_t lane) {
    return with_failing_call(stand.verify(jobs[job].way, lane), jobs[job].call, jobs[job].error);
  });
  std::size_t judged = 0;
  for (std::size_t i = 0; i < jobs.size(); ++i) {
    const Job& job = jobs[i];
    CAPTURE(static_cast<int>(job.way));
    CAPTURE(job.call.code);
    CAPTURE(job.call.nth);
    CAPTURE(job.error);
    CAPTURE(outcomes[i].exit_code);
    CAPTURE(outcomes[i].err);
    check_end(outcomes[i], whole[static_cast<std::size_t>(job.way)], stand.built());
    if (is_taken_up(job)) CHECK(outcomes[i].exit_code == 0);
    judged += outcomes[i].exit_code < 2 ? 1 : 0;
  }
  CHECK(judged > 20);           // what hardly matters is survived
  CHECK(judged < jobs.size());  // and what matters is noticed
}

}  // namespace

TEST_SUITE("e2e/failing_call") {
  TEST_CASE("whichever system call of verify fails, a unit built wrong never passes, and the end is clear") {
    if (!can_watch()) return;
    fail_each_call(Stand{Built::kWrong}, [](const Call&) { return std::vector{EIO}; });
  }

  TEST_CASE("whichever call fails as it usually does, a unit built right never fails, and the end is clear") {
    if (!can_watch()) return;
    fail_each_call(Stand{Built::kRight}, [](const Call& call) {
      return call.usual_error == 0 ? std::vector<int>{} : std::vector{call.usual_error};
    });
  }

  TEST_CASE("whichever call is interrupted, a unit built right never fails, and the end is clear") {
    if (!can_watch()) return;
    fail_each_call(Stand{Built::kRight}, [](const Call&) { return std::vector{EINTR}; });
  }
}
