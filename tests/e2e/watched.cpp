#include "tests/e2e/watched.hpp"

#include <atomic>
#include <map>
#include <sstream>
#include <thread>

#include "tests/support/skip.hpp"

namespace tests::e2e {

using support::Launch;
using support::Outcome;

Launch with_failing_call(Launch launch, const Call& call, int error) {
  launch.arguments.insert(launch.arguments.begin(), {std::to_string(call.code), std::to_string(call.nth),
                                                     std::to_string(error), launch.program});
  launch.program = support::program_path("e2e_failing_call");
  return launch;
}

std::vector<Call> calls_of(const Outcome& outcome) {
  const std::size_t at = outcome.err.rfind("\ncalls ");
  std::vector<Call> calls;
  if (at == std::string::npos) return calls;
  std::istringstream text{outcome.err.substr(at + 7)};
  std::map<int, int> counts;
  Call call;
  char colon = ' ';
  while (text >> call.code >> colon >> call.usual_error) {
    call.nth = ++counts[call.code];
    calls.push_back(call);
  }
  return calls;
}

bool can_watch() {
#ifdef __SANITIZE_ADDRESS__
  support::skip("a sanitizer's own system calls would fail too");
  return false;
#else
  Launch launch;
  launch.program = "/bin/true";
  if (!calls_of(support::run(with_failing_call(launch, {}, 0))).empty()) return true;
  support::skip("system calls can't be watched on this machine");
  return false;
#endif
}

std::vector<Outcome> run_all(std::size_t jobs,
                             const std::function<Launch(std::size_t job, std::size_t lane)>& launch) {
  std::vector<Outcome> outcomes(jobs);
  std::atomic<std::size_t> next{0};
  std::vector<std::thread> threads;
  threads.reserve(kLanes);
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    threads.emplace_back([&, lane] {
      for (std::size_t job = next++; job < jobs; job = next++)
        outcomes[job] = support::run(launch(job, lane));
    });
  }
  for (std::thread& thread : threads) thread.join();
  return outcomes;
}

}  // namespace tests::e2e
