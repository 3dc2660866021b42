#include "host/link/endpoint.hpp"

#include <utility>

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

namespace host::link {

namespace {

using protocol::base::Duration;
using protocol::base::Octets;

// How late a wish to stop is heard by a read that waits by itself, unless a signal ends it at once.
constexpr Duration kPatience = protocol::base::milliseconds(20);

class SerialEndpoint final : public Endpoint {
 public:
  explicit SerialEndpoint(SerialHandle handle) : handle_{std::move(handle)} {}

  [[nodiscard]] int fd() const override { return handle_.fd(); }
  [[nodiscard]] Duration read_patience() const override { return {}; }
  [[nodiscard]] const std::string& name() const override { return handle_.path(); }
  [[nodiscard]] ssize_t write(Octets octets) override {
    return ::write(handle_.fd(), octets.data(), octets.size());
  }
  [[nodiscard]] const ParityMarks::Sound& sound(Octets octets) override { return marks_.decode(octets); }
  [[nodiscard]] std::string_view remedy_when_gone() const override {
    return "look at plug and cable, then start again";
  }
  [[nodiscard]] std::optional<LineCounters> line_counters() const override { return handle_.line_counters(); }
  void close() override { handle_.close(); }

 private:
  SerialHandle handle_;
  ParityMarks marks_;
};

class SocketEndpoint final : public Endpoint {
 public:
  SocketEndpoint(int fd, std::string name) : fd_{fd}, name_{std::move(name)}, patience_{patience_of(fd)} {}
  ~SocketEndpoint() override { SocketEndpoint::close(); }

  [[nodiscard]] int fd() const override { return fd_; }
  [[nodiscard]] Duration read_patience() const override { return patience_; }
  [[nodiscard]] const std::string& name() const override { return name_; }
  [[nodiscard]] ssize_t write(Octets octets) override {
    return ::send(fd_, octets.data(), octets.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  }
  [[nodiscard]] const ParityMarks::Sound& sound(Octets octets) override {
    sound_.octets.assign(octets.begin(), octets.end());
    return sound_;
  }
  [[nodiscard]] std::string_view remedy_when_gone() const override {
    return "whoever serves the line closed the connection: look whether it takes only one client at a time";
  }
  void close() override {
    if (fd_ >= 0) {
      (void)::close(std::exchange(fd_, -1));
    }
  }

 private:
  // Lets reads of a socket wait that long at most; they don't wait at all where the system doesn't know how.
  static Duration patience_of(int fd) {
    const timeval most{0, kPatience.count()};
    const int flags = ::fcntl(fd, F_GETFL);
    const bool waits = flags >= 0 && ::setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &most, sizeof most) == 0 &&
                       ::fcntl(fd, F_SETFL, flags & ~O_NONBLOCK) == 0;
    return waits ? kPatience : Duration{};
  }

  int fd_;
  std::string name_;
  Duration patience_;
  ParityMarks::Sound sound_;
};

}  // namespace

std::unique_ptr<Endpoint> serial_endpoint(SerialHandle handle) {
  return std::make_unique<SerialEndpoint>(std::move(handle));
}

std::unique_ptr<Endpoint> socket_endpoint(int fd, std::string name) {
  return std::make_unique<SocketEndpoint>(fd, std::move(name));
}

}  // namespace host::link
