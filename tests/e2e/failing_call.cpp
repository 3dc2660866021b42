// Runs a program and lets one of its system calls fail: failing_call CODE NTH ERRNO PROGRAM ARGUMENT...
//
// The NTH call of that CODE since the program began does nothing and returns ERRNO; the program's standard
// streams and exit code are its own, 128 + signal where one ended it. A negative ERRNO sends the signal of
// that number as the call begins, which is made all the same. NTH 0 lets none fail and writes each call to
// standard error behind the program's own words, "calls CODE:ERRNO..." in their order, where ERRNO is what
// such a call usually fails with, or 0. Calls that can't be refused (ending, returning from a signal) are let
// through. Exits 77 where calls can't be watched.
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

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

int usual_error(unsigned long long call) {
  switch (call) {
    case SYS_openat:
    case SYS_socket:
    case SYS_eventfd2:
    case SYS_memfd_create:
    case SYS_pipe2: return EMFILE;
    case SYS_mmap:
    case SYS_mprotect:
    case SYS_ppoll:
    case SYS_poll: return ENOMEM;
    case SYS_fork:
    case SYS_vfork:
    case SYS_clone:
    case SYS_clone3:
    case SYS_read: return EAGAIN;
    case SYS_write:
    case SYS_mkdir: return ENOSPC;
    case SYS_access:
    case SYS_newfstatat:
    case SYS_readlink: return EACCES;
    case SYS_ioctl: return ENOTTY;
    case SYS_flock: return EWOULDBLOCK;
    case SYS_connect: return ECONNREFUSED;
    case SYS_sendto:
    case SYS_sendmsg: return EPIPE;
    case SYS_recvfrom:
    case SYS_recvmsg: return ECONNRESET;
    case SYS_wait4: return ECHILD;
    default: return 0;
  }
}

int watch(pid_t child, unsigned long long wanted, long nth, int error) {
  int status = 0;
  if (::waitpid(child, &status, 0) != child || !WIFSTOPPED(status) ||
      ::ptrace(PTRACE_SETOPTIONS, child, nullptr, PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL) != 0) {
    return kCannotWatch;
  }
  std::string calls;
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
    if (entering && !must_work(registers.orig_rax)) {
      calls +=
          " " + std::to_string(registers.orig_rax) + ":" + std::to_string(usual_error(registers.orig_rax));
      if (registers.orig_rax == wanted && ++count == nth && error < 0) {
        (void)::kill(child, -error);
      } else if (registers.orig_rax == wanted && count == nth) {
        registers.orig_rax = static_cast<unsigned long long>(-1);
        refused = ::ptrace(PTRACE_SETREGS, child, nullptr, &registers) == 0;
      }
    } else if (!entering && refused) {
      refused = false;
      registers.rax = static_cast<unsigned long long>(-error);
      (void)::ptrace(PTRACE_SETREGS, child, nullptr, &registers);
    }
    entering = !entering;
  }
  if (nth == 0) {
    std::fprintf(stderr, "\ncalls%s\n", calls.c_str());
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

#else

int watch(pid_t, unsigned long long, long, int) {
  return kCannotWatch;
}

#endif

}  // namespace

int main(int count, char** words) {
  if (count < 5) {
    return 64;
  }
  const pid_t child = ::fork();
  if (child == 0) {
    if (::ptrace(PTRACE_TRACEME, 0, nullptr, nullptr) != 0) {
      ::_exit(kCannotWatch);
    }
    ::execv(words[4], words + 4);
    ::_exit(kCannotWatch);
  }
  return watch(child, std::strtoull(words[1], nullptr, 10), std::atol(words[2]), std::atoi(words[3]));
}
