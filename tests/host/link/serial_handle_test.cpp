#include "host/link/serial_handle.hpp"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <vector>

#include <sys/file.h>
#include <sys/ioctl.h>

#include "tests/host/link/pty.hpp"

using namespace host::link;

namespace {

const LineSettings kLine{115200, Parity::kEven, 1};

std::string outcome(const Result<SerialHandle>& opened) {
  if (opened) {
    return "opened";
  }
  const LinkError& error = opened.error();
  return std::to_string(error.exit_code) + " " + std::string{name_of(error.fault)} + " | " + error.message +
         " | " + error.remedy;
}

termios settings_of(int fd) {
  termios settings{};
  REQUIRE(::tcgetattr(fd, &settings) == 0);
  return settings;
}

bool same(const termios& a, const termios& b) {
  return a.c_iflag == b.c_iflag && a.c_oflag == b.c_oflag && a.c_cflag == b.c_cflag &&
         a.c_lflag == b.c_lflag && std::memcmp(a.c_cc, b.c_cc, sizeof a.c_cc) == 0 &&
         ::cfgetospeed(&a) == ::cfgetospeed(&b);
}

}  // namespace

TEST_SUITE("host/link/serial_handle") {
  TEST_CASE("a port is raw while it is ours and has its own settings back afterwards") {
    const Pty pty;
    const int watcher = ::open(pty.path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(watcher >= 0);
    termios odd = settings_of(watcher);
    odd.c_lflag |= ICANON | ECHO;
    odd.c_cflag |= HUPCL;
    odd.c_cc[VMIN] = 7;
    REQUIRE(::cfsetspeed(&odd, B1200) == 0);
    REQUIRE(::tcsetattr(watcher, TCSANOW, &odd) == 0);
    const termios before = settings_of(watcher);
    {
      auto opened = SerialHandle::open(pty.path, kLine);
      REQUIRE_MESSAGE(opened.has_value(), outcome(opened));
      const termios now = settings_of(opened->fd());
      CHECK((now.c_lflag & (ICANON | ECHO | ISIG)) == 0);
      CHECK((now.c_iflag & (INPCK | PARMRK)) == (INPCK | PARMRK));
      CHECK((now.c_iflag & (IXON | ICRNL | IGNPAR | ISTRIP)) == 0);
      CHECK((now.c_oflag & OPOST) == 0);
      CHECK((now.c_cflag & (CLOCAL | CREAD)) == (CLOCAL | CREAD));
      CHECK((now.c_cflag & (HUPCL | CRTSCTS)) == 0);
      CHECK(now.c_cc[VMIN] == 1);
      CHECK(now.c_cc[VTIME] == 0);
      TerminalState held;
      REQUIRE(held.read_from(opened->fd()));
      CHECK(held.differs_from(kLine, false).empty());
      CHECK((::fcntl(opened->fd(), F_GETFL) & O_NONBLOCK) != 0);
      CHECK((::fcntl(opened->fd(), F_GETFD) & FD_CLOEXEC) != 0);
      int exclusive = 0;
      REQUIRE(::ioctl(opened->fd(), TIOCGEXCL, &exclusive) == 0);
      CHECK(exclusive == 1);
    }
    CHECK(same(settings_of(watcher), before));
    int exclusive = 1;
    REQUIRE(::ioctl(watcher, TIOCGEXCL, &exclusive) == 0);
    CHECK(exclusive == 0);
    CHECK(SerialHandle::open(pty.path, kLine).has_value());
    (void)::close(watcher);
  }

  TEST_CASE("any speed is set, not only those with a name") {
    for (const std::uint32_t baud : {1200U, 9600U, 12345U, 76800U, 128000U, 250000U, 1'000'000U}) {
      CAPTURE(baud);
      const Pty pty;
      auto opened = SerialHandle::open(pty.path, {baud, Parity::kNone, 2});
      REQUIRE_MESSAGE(opened.has_value(), outcome(opened));
      TerminalState held;
      REQUIRE(held.read_from(opened->fd()));
      CHECK(held.differs_from({baud, Parity::kNone, 2}, true).empty());
      CHECK(contains(held.differs_from({baud + baud / 40, Parity::kNone, 2}, true), "2 %"));
      CHECK(contains(held.differs_from({baud, Parity::kNone, 1}, true), "stop bits"));
      // A pseudo-terminal keeps no parity, which is how a driver without it looks.
      CHECK(contains(held.differs_from({baud, Parity::kOdd, 2}, true), "parity"));
      CHECK(held.differs_from({baud, Parity::kOdd, 2}, false).empty());
    }
  }

  TEST_CASE("a missing port ends with 66 and the list of those that are there") {
    namespace fs = std::filesystem;
    char folder[] = "/tmp/strapline-test-XXXXXX";
    REQUIRE(::mkdtemp(folder) != nullptr);
    const SystemRoots roots{fs::path{folder} / "sys", fs::path{folder} / "dev", "/proc"};
    fs::create_directories(roots.sys / "drivers" / "ftdi_sio");
    fs::create_directories(roots.sys / "drivers" / "serial8250");
    fs::create_directories(roots.dev / "serial" / "by-id");
    for (const char* name : {"ttyUSB0", "ttyS0", "ttyS1", "tty1"}) {
      fs::create_directories(roots.sys / "class" / "tty" / name / "device");
      std::ofstream{roots.dev / name};
    }
    fs::create_directory_symlink(roots.sys / "drivers" / "ftdi_sio",
                                 roots.sys / "class" / "tty" / "ttyUSB0" / "device" / "driver");
    for (const char* name : {"ttyS0", "ttyS1"}) {
      fs::create_directory_symlink(roots.sys / "drivers" / "serial8250",
                                   roots.sys / "class" / "tty" / name / "device" / "driver");
    }
    std::ofstream{roots.sys / "class" / "tty" / "ttyS0" / "type"} << "4\n";
    std::ofstream{roots.sys / "class" / "tty" / "ttyS1" / "type"} << "0\n";
    fs::create_symlink("../../ttyUSB0", roots.dev / "serial" / "by-id" / "usb-adapter_A1-if00");

    const auto opened = SerialHandle::open("/dev/ttyUSB99", kLine, Rs485::kLeaveAlone, roots);
    const std::string said = outcome(opened);
    CAPTURE(said);
    CHECK(contains(said, "66 port-missing | /dev/ttyUSB99 is not there"));
    CHECK(contains(said, "/dev/ttyUSB0 (" + (roots.dev / "serial/by-id/usb-adapter_A1-if00").string() + ")"));
    CHECK(contains(said, "/dev/ttyS0 (serial8250)"));
    CHECK_FALSE(contains(said, "/dev/ttyS1"));
    CHECK_FALSE(contains(said, "/dev/tty1"));

    fs::remove_all(roots.sys);
    CHECK(contains(outcome(SerialHandle::open("/dev/ttyUSB99", kLine, Rs485::kLeaveAlone, roots)),
                   "no serial port at all"));
    fs::remove_all(folder);
  }

  TEST_CASE("what is no serial port ends with 66 and is not opened if it is no device") {
    for (const char* path : {"/dev/null", "/etc/passwd", "/tmp"}) {
      CAPTURE(path);
      CHECK(contains(outcome(SerialHandle::open(path, kLine)), "66 not-a-terminal"));
    }
    CHECK(contains(outcome(SerialHandle::open("/etc/passwd/x", kLine)), "66 port-missing"));
    CHECK(contains(outcome(SerialHandle::open("/dev/" + std::string(5000, 'x'), kLine)), "66 port-missing"));
  }

  // A pseudo-terminal has no RS-485 switch, as most USB adapters have none.
  TEST_CASE("an adapter that switches by itself refuses rs485 and says to leave it out, the port as it was") {
    const Pty pty;
    const termios before = settings_of(pty.master);
    const auto refused = SerialHandle::open(pty.path, kLine, Rs485::kByKernel);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().fault == Fault::kSettingsRefused);
    CHECK(refused.error().exit_code == 74);
    CHECK(contains(refused.error().message, "the adapter switches by itself"));
    CHECK(contains(refused.error().remedy, "leave rs485 out"));
    CHECK(same(settings_of(pty.master), before));
    CHECK(outcome(SerialHandle::open(pty.path, kLine)) == "opened");
  }

  TEST_CASE("a port in use ends with 74 and names the holder, for root and for nobody") {
    const Pty pty;
    REQUIRE(::chmod(pty.path.c_str(), 0666) == 0);
    std::optional<SerialHandle> held;
    const Child holder{[&] {
                         auto opened = SerialHandle::open(pty.path, kLine);
                         const std::string said = outcome(opened);
                         if (opened) {
                           held.emplace(std::move(*opened));
                         }
                         return said;
                       },
                       false};
    REQUIRE(holder.said == "opened");
    const std::string process = "(process " + std::to_string(holder.pid) + ")";
    const termios before = settings_of(pty.master);
    for (const bool as_nobody : {false, true}) {
      CAPTURE(as_nobody);
      // Other settings than the holder's: none of them may reach the port.
      const Child second{[&] { return outcome(SerialHandle::open(pty.path, {1200, Parity::kNone, 2})); },
                         as_nobody};
      CAPTURE(second.said);
      CHECK(contains(second.said, "74 busy | " + pty.path + " is in use by test_host_link " + process));
      CHECK(contains(second.said, "end process " + std::to_string(holder.pid)));
    }
    CHECK(same(settings_of(pty.master), before));
  }

  TEST_CASE("a port that is only locked is in use, and one that is only marked exclusive too") {
    const Pty pty;
    const int other = ::open(pty.path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(other >= 0);
    REQUIRE(::flock(other, LOCK_EX | LOCK_NB) == 0);
    CHECK(contains(outcome(SerialHandle::open(pty.path, kLine)), "74 busy"));
    REQUIRE(::flock(other, LOCK_UN) == 0);
    REQUIRE(::ioctl(other, TIOCEXCL) == 0);
    CHECK(contains(outcome(SerialHandle::open(pty.path, kLine)), "74 busy"));
    REQUIRE(::ioctl(other, TIOCNXCL) == 0);
    CHECK(SerialHandle::open(pty.path, kLine).has_value());
    (void)::close(other);
  }

  TEST_CASE("nobody is told to join the group of root") {
    if (::geteuid() != 0) return;  // only root can give a node to it
    const Pty pty;
    REQUIRE(::chown(pty.path.c_str(), 0, 0) == 0);
    REQUIRE(::chmod(pty.path.c_str(), 0600) == 0);
    const Child nobody{[&] { return outcome(SerialHandle::open(pty.path, kLine)); }, true};
    CAPTURE(nobody.said);
    CHECK(contains(nobody.said, "77 no-rights"));
    CHECK(contains(nobody.said, "udev rule"));
    CHECK_FALSE(contains(nobody.said, "usermod"));
  }

  TEST_CASE("a port without rights ends with 77, its group and the command that joins it") {
    const Pty pty;
    // A machine without terminals' own group gives a pty to root's, which nobody should be told to join.
    constexpr gid_t kDaemon = 1;
    if (::geteuid() == 0) REQUIRE(::chown(pty.path.c_str(), 0, kDaemon) == 0);
    REQUIRE(::chmod(pty.path.c_str(), ::geteuid() == 0 ? 0600 : 0000) == 0);
    const Child nobody{[&] { return outcome(SerialHandle::open(pty.path, kLine)); }, true};
    CAPTURE(nobody.said);
    CHECK(contains(nobody.said, "77 no-rights"));
    CHECK(contains(nobody.said, "belongs to group "));
    CHECK(contains(nobody.said, "sudo usermod -aG "));
    CHECK(contains(nobody.said, "new login"));
    CHECK(contains(nobody.said, "chmod g+rw " + pty.path));
    REQUIRE(::chmod(pty.path.c_str(), ::geteuid() == 0 ? 0660 : 0000) == 0);
    if (::geteuid() == 0) {
      const Child outside{[&] { return outcome(SerialHandle::open(pty.path, kLine)); }, true};
      CAPTURE(outside.said);
      CHECK(contains(outside.said, "77 no-rights"));
      CHECK_FALSE(contains(outside.said, "chmod"));
    }
  }

  // EIO after a hang-up; ENODEV and ENXIO of drivers whose device was unplugged; EBADF of a port that is
  // closed; the rest is how the other end of a connection goes.
  TEST_CASE("the errors of a device or a peer that is no longer there mean gone, and no others do") {
    for (const int error :
         {EIO, ENODEV, ENXIO, EBADF, EPIPE, ECONNRESET, ECONNABORTED, ETIMEDOUT, ENOTCONN}) {
      CAPTURE(std::strerror(error));
      CHECK(means_gone(error));
    }
    for (const int error : {0, EINTR, EAGAIN, EACCES, EPERM, EBUSY, ENOENT, EINVAL, ENOTTY, ENOMEM, EMFILE,
                            ENOSPC, ECONNREFUSED, EHOSTUNREACH}) {
      CAPTURE(std::strerror(error));
      CHECK_FALSE(means_gone(error));
    }
  }

  TEST_CASE("closing twice, moving and a port that hung up do no harm") {
    Pty pty;
    auto opened = SerialHandle::open(pty.path, kLine);
    REQUIRE(opened.has_value());
    SerialHandle moved = std::move(*opened);
    const int fd = moved.fd();
    pty.hang_up();
    moved.close();
    moved.close();
    CHECK(moved.fd() == -1);
    CHECK(::fcntl(fd, F_GETFD) == -1);
  }
}
