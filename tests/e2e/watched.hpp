#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "tests/support/run_program.hpp"

namespace tests::e2e {

/// A system call that a program made: the nth of its code, from 1 on, and what such a call usually fails
/// with, or 0.
struct Call {
  int code = -1;
  int nth = 0;
  int usual_error = 0;
};

/// `launch`, with that call of it failing with `error`; Call{} for none. A negative one is a signal that
/// comes as the call begins.
[[nodiscard]] support::Launch with_failing_call(support::Launch launch, const Call& call, int error);

/// The calls, in their order, of a program that ran with none failing. None where calls can't be watched.
[[nodiscard]] std::vector<Call> calls_of(const support::Outcome& outcome);

/// Whether system calls can be watched here: on x86-64, where ptrace is allowed, and not under a sanitizer,
/// whose own calls would fail too. Where not, the case under way is skipped.
[[nodiscard]] bool can_watch();

/// Runs what `launch` gives for each job of 0 to `jobs` - 1, some at once: `launch` is told which of kLanes
/// lanes the job has to itself. The outcomes are in the order of the jobs.
inline constexpr std::size_t kLanes = 8;
[[nodiscard]] std::vector<support::Outcome> run_all(
    std::size_t jobs, const std::function<support::Launch(std::size_t job, std::size_t lane)>& launch);

}  // namespace tests::e2e
