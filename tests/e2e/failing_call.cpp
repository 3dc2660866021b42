// Runs a program and lets one of its system calls fail: failing_call NUMBER ERRNO PROGRAM ARGUMENT...
//
// The call with that number since the program began does nothing and returns ERRNO; the program's standard
// streams and exit code are its own, 128 + signal where one ended it. NUMBER 0 lets none fail and writes how
// many calls there were to standard error, behind the program's own words. Calls that can't be refused
// (ending, returning from a signal) are let through. Exits 77 where calls can't be watched.
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

namespace {

constexpr int kCannotWatch = 77;

#if defined(__x86_64__)

// brk never fails but gives an address, and the C library ends itself when a futex fails it.
bool must_work(unsigned long long call) {
  return call == SYS_exit || call == SYS_exit_group || call == SYS_rt_sigreturn || call == SYS_execve ||
         call == SYS_brk || call == SYS_futex;
}

int watch(pid_t child, long wanted, int error) {
  int status = 0;
  if (::waitpid(child, &status, 0) != child || !WIFSTOPPED(status) ||
      ::ptrace(PTRACE_SETOPTIONS, child, nullptr, PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL) != 0) {
    return kCannotWatch;
  }
  long count = 0;
  bool entering = true;
  bool refused = false;
  int signal = 0;
  while (true) {
    if (::ptrace(PTRACE_SYSCALL, child, nullptr, signal) != 0 || ::waitpid(child, &status, 0) != child) {
      return kCannotWatch;
    }
    if (WIFEXITED(status) || WIFSIGNALED(status)) {
      break;
    }
    constexpr int kSyscallStop = SIGTRAP | 0x80;
    signal = WSTOPSIG(status) == kSyscallStop || WSTOPSIG(status) == SIGTRAP ? 0 : WSTOPSIG(status);
    if (WSTOPSIG(status) != kSyscallStop) {
      continue;
    }
    user_regs_struct registers{};
    if (::ptrace(PTRACE_GETREGS, child, nullptr, &registers) != 0) {
      return kCannotWatch;
    }
    if (entering && !must_work(registers.orig_rax) && ++count == wanted) {
      registers.orig_rax = static_cast<unsigned long long>(-1);
      refused = ::ptrace(PTRACE_SETREGS, child, nullptr, &registers) == 0;
    } else if (!entering && refused) {
      refused = false;
      registers.rax = static_cast<unsigned long long>(-error);
      (void)::ptrace(PTRACE_SETREGS, child, nullptr, &registers);
    }
    entering = !entering;
  }
  if (wanted == 0) {
    std::fprintf(stderr, "\ncalls %ld\n", count);
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

#else

int watch(pid_t, long, int) {
  return kCannotWatch;
}

#endif

}  // namespace

int main(int count, char** words) {
  if (count < 4) {
    return 64;
  }
  const pid_t child = ::fork();
  if (child == 0) {
    if (::ptrace(PTRACE_TRACEME, 0, nullptr, nullptr) != 0) {
      ::_exit(kCannotWatch);
    }
    ::execv(words[3], words + 3);
    ::_exit(kCannotWatch);
  }
  return watch(child, std::atol(words[1]), std::atoi(words[2]));
}
