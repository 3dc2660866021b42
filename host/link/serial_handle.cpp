#include "host/link/serial_handle.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstddef>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <fmt/core.h>
#include <grp.h>
#include <pwd.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

namespace host::link {

namespace {

tl::unexpected<LinkError> port_failure(Fault fault, const std::string& path, std::string message,
                                       std::string remedy) {
  LinkError error = link_error(fault, std::move(message), std::move(remedy));
  error.port = path;
  return tl::unexpected{std::move(error)};
}

tl::unexpected<LinkError> missing(const std::string& path, const SystemRoots& roots) {
  return port_failure(
      Fault::kPortMissing, path, fmt::format("{} is not there", path),
      fmt::format("{}; plug the adapter in or name one that is there", describe(system_ports(roots))));
}

tl::unexpected<LinkError> not_a_terminal(const std::string& path, const SystemRoots& roots) {
  return port_failure(Fault::kNotATerminal, path, fmt::format("{} is not a serial port", path),
                      fmt::format("name a serial device: {}", describe(system_ports(roots))));
}

std::string group_name(gid_t gid) {
  std::array<char, 4096> store{};
  group entry{};
  group* found = nullptr;
  const bool named = ::getgrgid_r(gid, &entry, store.data(), store.size(), &found) == 0 && found != nullptr;
  return named ? std::string{found->gr_name} : std::to_string(gid);
}

std::string user_name(uid_t uid) {
  std::array<char, 4096> store{};
  passwd entry{};
  passwd* found = nullptr;
  const bool named = ::getpwuid_r(uid, &entry, store.data(), store.size(), &found) == 0 && found != nullptr;
  return named ? std::string{found->pw_name} : std::to_string(uid);
}

tl::unexpected<LinkError> no_rights(const std::string& path) {
  struct stat node{};
  const std::string user = user_name(::geteuid());
  if (::stat(path.c_str(), &node) != 0) {
    return port_failure(Fault::kNoRights, path, fmt::format("user {} may not look at {}", user, path),
                        "give this user access to the folder the port is in");
  }
  const std::string group = group_name(node.st_gid);
  if (node.st_gid == 0) {
    return port_failure(Fault::kNoRights, path,
                        fmt::format("user {} may not open {}: it belongs to group {} (mode {:04o})", user,
                                    path, group, node.st_mode & 07777U),
                        "nobody should join that group; give the port to a group of its own with a udev rule "
                        "(serial ports usually "
                        "belong to dialout), then join that group and log in again");
  }
  std::string remedy = fmt::format(
      "run `sudo usermod -aG {} {}`, then log out and in again: a new login is needed", group, user);
  if ((node.st_mode & 0060U) != 0060U) {
    remedy +=
        fmt::format("; the node's mode also shuts its group out, so run `sudo chmod g+rw {}` too", path);
  }
  return port_failure(Fault::kNoRights, path,
                      fmt::format("user {} may not open {}: it belongs to group {} (mode {:04o})", user, path,
                                  group, node.st_mode & 07777U),
                      std::move(remedy));
}

tl::unexpected<LinkError> busy(const std::string& path, const std::vector<PortHolder>& holders) {
  std::string who;
  for (const PortHolder& holder : holders) {
    who += fmt::format("{}{} (process {})", who.empty() ? "" : " and ",
                       holder.program.empty() ? "a program" : holder.program, holder.pid);
  }
  return port_failure(
      Fault::kBusy, path,
      fmt::format("{} is in use by {}", path, who.empty() ? "a process of another user" : who),
      holders.size() == 1 ? fmt::format("end process {} or use another port", holders.front().pid)
                          : "end the program that uses it, or use another port");
}

tl::unexpected<LinkError> open_failure(const std::string& path, int error, const SystemRoots& roots) {
  switch (error) {
    case ENOENT:
    case ENOTDIR:
    case ELOOP:
    case ENAMETOOLONG: return missing(path, roots);
    case EACCES:
    case EPERM: return no_rights(path);
    case EBUSY: return busy(path, port_holders(path, roots));
    default: break;
  }
  if (means_gone(error)) {
    return port_failure(Fault::kPortMissing, path,
                        fmt::format("{} has no device behind it ({})", path, std::strerror(error)),
                        describe(system_ports(roots)));
  }
  return port_failure(Fault::kPortFailed, path, fmt::format("can't open {}: {}", path, std::strerror(error)),
                      "look at the system's log for this port");
}

// Programs that have the port open and asked for no lock. A child that is just being started still holds what
// this process holds.
std::vector<PortHolder> others_at(const std::string& path, const SystemRoots& roots) {
  auto holders = port_holders(path, roots);
  const auto is_child = [](const PortHolder& holder) { return holder.parent == ::getpid(); };
  holders.erase(std::remove_if(holders.begin(), holders.end(), is_child), holders.end());
  return holders;
}

}  // namespace

bool means_gone(int error) {
  return error == EIO || error == ENODEV || error == ENXIO || error == EBADF || error == EPIPE ||
         error == ECONNRESET || error == ECONNABORTED || error == ETIMEDOUT || error == ENOTCONN;
}

SerialHandle::SerialHandle(SerialHandle&& other) noexcept
    : fd_{std::exchange(other.fd_, -1)},
      changed_{std::exchange(other.changed_, false)},
      path_{std::move(other.path_)},
      driver_{other.driver_},
      counters_{other.counters_},
      found_{std::move(other.found_)},
      modes_{std::move(other.modes_)} {}

SerialHandle& SerialHandle::operator=(SerialHandle&& other) noexcept {
  if (this != &other) {
    close();
    fd_ = std::exchange(other.fd_, -1);
    changed_ = std::exchange(other.changed_, false);
    path_ = std::move(other.path_);
    driver_ = other.driver_;
    counters_ = other.counters_;
    found_ = std::move(other.found_);
    modes_ = std::move(other.modes_);
  }
  return *this;
}

SerialHandle::~SerialHandle() {
  close();
}

void SerialHandle::close() {
  if (fd_ < 0) {
    return;
  }
  // Until the line was ours, nothing on it may be touched: it may be another program's.
  if (changed_) {
    // Output that the line never took would hold close() for up to half a minute.
    (void)::tcflush(fd_, TCIOFLUSH);
    modes_.restore(fd_, *driver_);
    (void)found_.write_to(fd_, *driver_);
    (void)driver_->control(fd_, TIOCNXCL, nullptr);
  }
  (void)::close(fd_);
  fd_ = -1;
}

std::optional<LineCounters> SerialHandle::line_counters() const {
  const auto now = counters_ && fd_ >= 0 ? read_line_counters(fd_, *driver_) : std::nullopt;
  return now ? std::optional{counted(*counters_, *now)} : std::nullopt;
}

Result<SerialHandle> SerialHandle::open(const std::string& path, const LineSettings& line, Rs485 rs485,
                                        const SystemRoots& roots, Driver& driver) {
  if (line.baud == 0) {  // to a terminal, no speed is the order to hang up
    return port_failure(Fault::kSettingsRefused, path, fmt::format("{} can't run at 0 Bd", path),
                        "give the unit's speed, such as 19200");
  }
  // Opening some device nodes has effects of its own; only a character device is worth trying.
  struct stat node{};
  if (::stat(path.c_str(), &node) != 0) {
    return open_failure(path, errno, roots);
  }
  if (!S_ISCHR(node.st_mode)) {
    return not_a_terminal(path, roots);
  }
  const int fd = ::open(path.c_str(), O_RDWR | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (fd < 0) {
    return open_failure(path, errno, roots);
  }
  SerialHandle handle{fd, path, driver};
  if (::isatty(fd) == 0) {
    return not_a_terminal(path, roots);
  }
  if (::flock(fd, LOCK_EX | LOCK_NB) != 0) {
    return errno == EWOULDBLOCK ? busy(path, port_holders(path, roots)) : open_failure(path, errno, roots);
  }
  int exclusive = 0;
  if (driver.control(fd, TIOCGEXCL, &exclusive) == 0 && exclusive != 0) {
    return busy(path, port_holders(path, roots));
  }
  const bool is_pty = driver.is_pseudo_terminal(node.st_rdev);
  if (!is_pty) {
    if (const auto others = others_at(path, roots); !others.empty()) {
      return busy(path, others);
    }
  }
  if (driver.control(fd, TIOCEXCL, nullptr) != 0) {
    return open_failure(path, errno, roots);
  }
  if (!handle.found_.read_from(fd, driver)) {
    (void)driver.control(fd, TIOCNXCL, nullptr);
    return open_failure(path, errno, roots);
  }
  handle.changed_ = true;
  TerminalState held;
  if (!handle.found_.raw(line).write_to(fd, driver) || !held.read_from(fd, driver)) {
    return open_failure(path, errno, roots);
  }
  if (const std::string off = held.differs_from(line, !is_pty); !off.empty()) {
    return port_failure(Fault::kSettingsRefused, path,
                        fmt::format("{} doesn't take {}: {}", path, to_text(line), off),
                        "choose settings that the adapter and the unit both support");
  }
  handle.modes_.ask_low_latency(fd, driver);
  if (rs485 == Rs485::kByKernel) {
    if (const std::string why = handle.modes_.enable_rs485(fd, driver); !why.empty()) {
      return port_failure(Fault::kSettingsRefused, path,
                          fmt::format("{} can't be RS-485 by RTS: {}", path, why),
                          "leave rs485 out of the link");
    }
  }
  (void)::tcflush(fd, TCIOFLUSH);
  handle.counters_ = read_line_counters(fd, driver);
  return handle;
}

}  // namespace host::link
