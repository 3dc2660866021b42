#pragma once

#include <csignal>
#include <cstdlib>
#include <functional>
#include <string>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

/// A pseudo-terminal of a test: `master` is the far end, `path` what the program opens.
struct Pty {
  int master = -1;
  std::string path;

  Pty() : master{::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC)} {
    REQUIRE(master >= 0);
    REQUIRE(::grantpt(master) == 0);
    REQUIRE(::unlockpt(master) == 0);
    char name[64] = {};
    REQUIRE(::ptsname_r(master, name, sizeof name) == 0);
    path = name;
    // What the far end writes must not come back to it; the program sets its own end itself.
    termios raw{};
    REQUIRE(::tcgetattr(master, &raw) == 0);
    ::cfmakeraw(&raw);
    REQUIRE(::tcsetattr(master, TCSANOW, &raw) == 0);
  }
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;
  ~Pty() { hang_up(); }

  void hang_up() {
    if (master >= 0) {
      (void)::close(master);
      master = -1;
    }
  }
};

/// A child process that does `work` and then waits to be ended; started when `work` has returned.
struct Child {
  pid_t pid = -1;
  std::string said;  // what `work` returned

  /// `as_nobody` gives up root's rights first; without root there is nothing to give up.
  Child(const std::function<std::string()>& work, bool as_nobody) {
    int ends[2];
    REQUIRE(::pipe2(ends, O_CLOEXEC) == 0);
    pid = ::fork();
    REQUIRE(pid >= 0);
    if (pid == 0) {
      (void)::close(ends[0]);
      constexpr unsigned kNobody = 65534;
      if (as_nobody && ::geteuid() == 0 &&
          (::setresgid(kNobody, kNobody, kNobody) != 0 || ::setresuid(kNobody, kNobody, kNobody) != 0)) {
        ::_exit(1);
      }
      const std::string text = work();
      (void)!::write(ends[1], text.data(), text.size());
      (void)::close(ends[1]);
      while (true) {
        (void)::pause();
      }
    }
    (void)::close(ends[1]);
    char part[4096];
    for (ssize_t got = 0; (got = ::read(ends[0], part, sizeof part)) > 0;) {
      said.append(part, static_cast<std::size_t>(got));
    }
    (void)::close(ends[0]);
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  ~Child() {
    (void)::kill(pid, SIGKILL);
    (void)::waitpid(pid, nullptr, 0);
  }
};

inline bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}
