#include "sim/port/pseudo_terminal.hpp"

#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <system_error>

#include <fcntl.h>
#include <pty.h>
#include <sys/inotify.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

namespace sim::port {
namespace {

namespace fs = std::filesystem;

tl::unexpected<std::string> failed(const std::string& what) {
  return tl::unexpected(what + ": " + std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
}

void close_if_open(int fd) {
  if (fd >= 0) ::close(fd);
}

bool later(const timespec& one, const timespec& other) {
  return one.tv_sec != other.tv_sec ? one.tv_sec > other.tv_sec : one.tv_nsec > other.tv_nsec;
}

// A link left behind by a simulator that was killed: it leads nowhere, or to the name we were given anew, or
// to a terminal that came after the link and was only given the number of the one that is gone.
bool stale(const std::string& link, const std::string& name) {
  std::error_code error;
  if (!fs::is_symlink(fs::symlink_status(link, error))) return false;
  const fs::path target = fs::read_symlink(link, error);
  if (error) return false;
  struct stat made{}, there{};
  if (target == name || !fs::exists(fs::status(link, error))) return true;
  return target.string().starts_with("/dev/pts/") && ::lstat(link.c_str(), &made) == 0 &&
         ::stat(target.c_str(), &there) == 0 && later(there.st_ctim, made.st_ctim);
}

}  // namespace

tl::expected<std::unique_ptr<PseudoTerminal>, std::string> PseudoTerminal::make(const std::string& link) {
  std::unique_ptr<PseudoTerminal> made{new PseudoTerminal};
  std::array<char, 128> name{};
  termios raw{};
  ::cfmakeraw(&raw);
  raw.c_cflag |= CREAD | CLOCAL;
  ::cfsetspeed(&raw, B115200);
  if (::openpty(&made->near_, &made->far_, name.data(), &raw, nullptr) != 0) {
    return failed("can't make a pseudo-terminal");
  }
  for (const int fd : {made->near_, made->far_}) ::fcntl(fd, F_SETFD, FD_CLOEXEC);
  ::fcntl(made->near_, F_SETFL, O_NONBLOCK);
  made->name_ = name.data();
  made->link_ = link;
  made->watch_ = ::inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
  if (made->watch_ < 0 || ::inotify_add_watch(made->watch_, made->name_.c_str(),
                                              IN_OPEN | IN_CLOSE_WRITE | IN_CLOSE_NOWRITE) < 0) {
    return failed("can't watch " + made->name_);
  }
  if (::symlink(made->name_.c_str(), link.c_str()) == 0) {
    made->linked_ = true;
    return made;
  }
  if (errno != EEXIST) return failed("can't make " + link);
  if (!stale(link, made->name_)) {
    return tl::unexpected(link +
                          " is there already, and no link that leads nowhere; name another, or remove it");
  }
  const std::string beside = link + "." + std::to_string(::getpid());
  if (::symlink(made->name_.c_str(), beside.c_str()) != 0) return failed("can't make " + beside);
  if (::rename(beside.c_str(), link.c_str()) != 0) {
    const auto error = failed("can't replace " + link);
    ::unlink(beside.c_str());
    return error;
  }
  made->linked_ = true;
  return made;
}

PseudoTerminal::~PseudoTerminal() {
  std::error_code error;
  if (linked_ && fs::read_symlink(link_, error) == name_) {
    ::unlink(link_.c_str());
    if (folder_too_) ::rmdir(fs::path{link_}.parent_path().c_str());
  }
  close_if_open(watch_);
  close_if_open(far_);
  close_if_open(near_);
}

std::vector<std::uint8_t> PseudoTerminal::read(std::size_t most) {
  std::vector<std::uint8_t> octets(most);
  std::size_t size = 0;
  while (size < most) {
    const ssize_t got = ::read(near_, octets.data() + size, most - size);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    size += static_cast<std::size_t>(got);
  }
  octets.resize(size);
  return octets;
}

void PseudoTerminal::write(std::span<const std::uint8_t> octets) {
  while (!octets.empty()) {
    const ssize_t put = ::write(near_, octets.data(), octets.size());
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return;
    octets = octets.subspan(static_cast<std::size_t>(put));
  }
}

bool PseudoTerminal::last_client_gone() {
  alignas(inotify_event) std::array<char, 4096> events{};
  bool gone = false;
  for (;;) {
    const ssize_t got = ::read(watch_, events.data(), events.size());
    if (got <= 0) break;
    for (std::size_t at = 0; at + sizeof(inotify_event) <= static_cast<std::size_t>(got);) {
      inotify_event event{};
      std::memcpy(&event, events.data() + at, sizeof event);
      at += sizeof event + event.len;
      if ((event.mask & IN_OPEN) != 0) ++clients_;
      if ((event.mask & (IN_CLOSE_WRITE | IN_CLOSE_NOWRITE)) != 0 && clients_ > 0) gone = --clients_ == 0;
    }
  }
  if (!gone) return false;
  ::tcflush(far_, TCIFLUSH);
  // Our own far end keeps the port alive, and with it a claim that its maker can't lift any more.
  ::ioctl(far_, TIOCNXCL);
  return true;
}

}  // namespace sim::port
