// Stands in for the simulator where a test is about starting and ending it: obeys its command line
// (KIT --pty LINKNAME …) and behaves as its kit's name says.
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <string>
#include <string_view>

#include <fcntl.h>
#include <sys/eventfd.h>
#include <termios.h>

#include "tests/host/link/pty_unit.hpp"

int main(int count, char** words) {
  sigset_t none;  // SIGTERM comes held
  (void)::sigemptyset(&none);
  (void)::sigprocmask(SIG_SETMASK, &none, nullptr);
  const std::string_view kit = count > 1 ? words[1] : "";
  std::string link;
  std::string all;
  for (int i = 1; i < count; ++i) {
    all += std::string{i > 1 ? " " : ""} + words[i];
    if (std::string_view{words[i]} == "--pty" && i + 1 < count) {
      link = words[i + 1];
    }
  }
  if (kit == "unknown-kit") {
    std::fputs("looking it up\nno kit 'unknown-kit'; did you mean 'known-kit'?\n  unknown-kit\n  ^\n\n",
               stderr);
    return 66;
  }
  if (kit == "bad-strap") {
    std::fputs("\x1b[31mBR9 is no strap of this board\n", stderr);
    return 64;
  }
  if (kit == "say-arguments") {
    std::fprintf(stderr, "%s\n", all.c_str());
    return 65;
  }
  if (kit == "crash") {
    (void)::raise(SIGKILL);
  }
  if (kit == "never-ready" || kit == "stubborn") {
    (void)::signal(SIGTERM, kit == "stubborn" ? SIG_IGN : SIG_DFL);
    while (true) {
      (void)::pause();
    }
  }
  const int master = ::posix_openpt(O_RDWR | O_NOCTTY);
  if (master < 0 || ::grantpt(master) != 0 || ::unlockpt(master) != 0) {
    return 70;
  }
  char name[64] = {};
  termios raw{};
  if (::ptsname_r(master, name, sizeof name) != 0 || ::tcgetattr(master, &raw) != 0) {
    return 70;
  }
  ::cfmakeraw(&raw);
  // An own hold on the far end, so that a client's going doesn't look like a failure here.
  const int held = ::open(name, O_RDWR | O_NOCTTY);
  if (held < 0 || ::tcsetattr(master, TCSANOW, &raw) != 0 || ::symlink(name, link.c_str()) != 0) {
    return 70;
  }
  answer_on(master, ::eventfd(0, 0), kit == "mortal" ? 6U : std::numeric_limits<std::uint32_t>::max());
  std::fputs("the panel rail burned through\n", stderr);
  return 3;
}
