#include <array>
#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "sim/port/outlet.hpp"
#include "sim/port/terminal_speed.hpp"

namespace sim::port {
namespace {

constexpr int kNoInput = 66;
constexpr int kIoError = 74;
constexpr int kNoPermission = 77;

Ending failed(int code, const std::string& device, const std::string& what) {
  return {code, "strapline-sim: " + device + ": " + what + "\n"};
}

// A real line paces itself, and does its own noise; what --noise adds comes on top.
class SerialOutlet final : public Outlet {
 public:
  SerialOutlet(int fd, const termios& before, std::string device, const OutletSetup& setup)
      : loop_{setup.loop},
        now_{setup.now},
        fd_{fd},
        before_{before},
        device_{std::move(device)},
        line_{setup.bus, setup.seats} {
    loop_.watch(fd_, Loop::Wish::kRead, [this] { octets(); });
  }
  ~SerialOutlet() override { close(); }

  [[nodiscard]] std::string name() const override { return "serial:" + device_; }

  void go_on() override {
    const auto now = now_();
    line_.bus().run(now);
    const auto octets = take_for_host(line_.bus(), now, counts_);
    std::size_t put = 0;
    while (fd_ >= 0 && put < octets.size()) {
      const ssize_t count = ::write(fd_, octets.data() + put, octets.size() - put);
      if (count < 0 && errno == EINTR) continue;
      if (count <= 0) break;  // the port takes no more: lost, as on a wire
      put += static_cast<std::size_t>(count);
    }
  }

  [[nodiscard]] std::optional<protocol::base::Instant> next() const override { return line_.bus().next(); }
  void sync() override { line_.sync(); }

  [[nodiscard]] OutletCounts counts() const override {
    OutletCounts all = counts_;
    add(all, counts_of(line_.bus()));
    return all;
  }

 private:
  void octets() {
    std::array<std::uint8_t, 512> piece{};
    const ssize_t got = ::read(fd_, piece.data(), piece.size());
    if (got < 0 && (errno == EINTR || errno == EAGAIN)) return;
    if (got <= 0) {
      close();  // unplugged: the others go on
      return;
    }
    line_.bus().from_host({piece.data(), static_cast<std::size_t>(got)}, now_());
    go_on();
  }

  void close() {
    if (fd_ < 0) return;
    loop_.forget(fd_);
    ::tcsetattr(fd_, TCSANOW, &before_);
    ::ioctl(fd_, TIOCNXCL);
    ::close(fd_);
    fd_ = -1;
  }

  Loop& loop_;
  Now now_;
  int fd_;
  termios before_;
  std::string device_;
  SeatBus line_;
  OutletCounts counts_;
};

}  // namespace

MadeOutlet make_serial_outlet(const std::string& device, const OutletSetup& setup) {
  const int fd = ::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  const auto refuse = [&](int code, const std::string& what) {
    if (fd >= 0) ::close(fd);
    return tl::unexpected(failed(code, device, what));
  };
  if (fd < 0) {
    const int code = errno == ENOENT                     ? kNoInput
                     : errno == EACCES || errno == EPERM ? kNoPermission
                                                         : kIoError;
    return refuse(code, std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
  }
  termios before{};
  if (::tcgetattr(fd, &before) != 0) return refuse(kIoError, "is no serial port");
  int taken = 0;
  if (::ioctl(fd, TIOCGEXCL, &taken) == 0 && taken != 0) return refuse(kIoError, "another program has it");
  if (::ioctl(fd, TIOCEXCL) != 0 || !set_terminal(fd, setup.bus.wire.unit)) {
    return refuse(kIoError, "can't be set to " + line::to_text(setup.bus.wire.unit));
  }
  ::tcflush(fd, TCIOFLUSH);
  OutletSetup real = setup;
  real.bus.wire.paced = false;
  return std::make_unique<SerialOutlet>(fd, before, device, real);
}

}  // namespace sim::port
