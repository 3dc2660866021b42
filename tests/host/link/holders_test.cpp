#include <filesystem>
#include <fstream>
#include <string>

#include "host/link/serial_handle.hpp"
#include "tests/host/link/fake_driver.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;
namespace fs = std::filesystem;

namespace {

// Opens `path` as a UART's, of which only one program at a time can make sense.
std::string outcome(const std::string& path, const SystemRoots& roots = {}) {
  FakeDriver driver;
  const auto opened = SerialHandle::open(path, {9600, Parity::kNone, 2}, Rs485::kLeaveAlone, roots, driver);
  if (opened) return "opened";
  return std::string{name_of(opened.error().fault)} + " | " + opened.error().message + " | " +
         opened.error().remedy;
}

// A program that opens a port as most do: without asking for it alone.
std::string plainly_opened(const std::string& path) {
  return ::open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC) >= 0 ? "opened" : "failed";
}

// A tree as proc(5) has it, of one process that is called `name` and started by `parent`.
fs::path process(const fs::path& proc, pid_t pid, const std::string& name, pid_t parent) {
  const fs::path folder = proc / std::to_string(pid);
  fs::create_directories(folder / "fd");
  std::ofstream{folder / "comm"} << name << "\n";
  std::ofstream{folder / "status"} << "Name:\t" << name << "\nPid:\t" << pid << "\nPPid:\t" << parent << "\n";
  return folder;
}

}  // namespace

TEST_SUITE("host/link/holders") {
  TEST_CASE("a port that another program has open without a lock is in use, and stays as that one has it") {
    const Pty pty;
    REQUIRE(::chmod(pty.path.c_str(), 0666) == 0);
    const Child holder{[&] { return plainly_opened(pty.path); }, false};
    REQUIRE(holder.said == "opened");
    termios before{};
    REQUIRE(::tcgetattr(pty.master, &before) == 0);
    const std::string pid = std::to_string(holder.pid);
    const Child second{[&] { return outcome(pty.path); }, false};
    CHECK(second.said == "busy | " + pty.path + " is in use by test_host_link (process " + pid +
                             ") | end process " + pid + " or use another port");
    termios after{};
    REQUIRE(::tcgetattr(pty.master, &after) == 0);
    CHECK(after.c_cflag == before.c_cflag);
    CHECK(after.c_iflag == before.c_iflag);
    // Where the system doesn't show who has what open, nothing is known against it.
    if (::geteuid() == 0) {
      const Child nobody{[&] { return outcome(pty.path); }, true};
      CHECK(nobody.said == "opened");
    }
    // Who simulates a line holds its pseudo-terminal.
    const Child tool{[&] { return SerialHandle::open(pty.path, {}).has_value() ? "opened" : "refused"; },
                     false};
    CHECK(tool.said == "opened");
  }

  TEST_CASE("what this process and its children have open doesn't stand in its way") {
    const Pty pty;
    const int ours = ::open(pty.path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(ours >= 0);
    const Child holder{[&] { return plainly_opened(pty.path); }, false};
    REQUIRE(holder.said == "opened");
    CHECK(outcome(pty.path) == "opened");
    (void)::close(ours);
  }

  TEST_CASE("who has a port open is told from what the system shows, and what it hides is no hindrance") {
    const Pty pty;
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots{"/sys", "/dev", fs::path{folder.path()} / "proc"};
    fs::create_directories(roots.proc);
    CHECK(outcome(pty.path, roots) == "opened");
    fs::remove(process(roots.proc, 4709, "hidden", 1) / "fd");
    fs::create_symlink("/dev/null", process(roots.proc, 4710, "elsewhere", 1) / "fd" / "0");
    // A file outside the devices may be one that never answers: it isn't looked at.
    fs::create_symlink(pty.path, folder.path() + "/alias");
    fs::create_symlink(folder.path() + "/alias", roots.proc / "4710/fd/1");
    fs::create_symlink(pty.path, process(roots.proc, 4711, "our (own) child", ::getpid()) / "fd" / "3");
    CHECK(outcome(pty.path, roots) == "opened");
    fs::create_symlink(pty.path, process(roots.proc, 4712, "modem\x1b[2Jd", 1) / "fd" / "3");
    CHECK(outcome(pty.path, roots) == "busy | " + pty.path +
                                          " is in use by modem?[2Jd (process 4712) | end process 4712 or "
                                          "use another port");
  }
}
