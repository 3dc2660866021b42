#include "host/link/serial_modes.hpp"

#include <cerrno>
#include <cstring>
#include <optional>

#include <linux/serial.h>
#include <sys/ioctl.h>

namespace host::link {

struct SerialModes::Kernel {
  std::optional<serial_struct> found;
  std::optional<serial_rs485> found_rs485;
};

SerialModes::SerialModes() : kernel_{std::make_unique<Kernel>()} {}
SerialModes::SerialModes(SerialModes&&) noexcept = default;
SerialModes& SerialModes::operator=(SerialModes&&) noexcept = default;
SerialModes::~SerialModes() = default;

void SerialModes::ask_low_latency(int fd, Driver& driver) {
  constexpr int kLowLatency = ASYNC_LOW_LATENCY;
  serial_struct present{};
  if (driver.control(fd, TIOCGSERIAL, &present) != 0 || (present.flags & kLowLatency) != 0) {
    return;
  }
  serial_struct wanted = present;
  wanted.flags |= kLowLatency;
  if (driver.control(fd, TIOCSSERIAL, &wanted) == 0) {
    kernel_->found = present;
  }
}

std::string SerialModes::enable_rs485(int fd, Driver& driver) {
  serial_rs485 present{};
  if (driver.control(fd, TIOCGRS485, &present) != 0) {
    return errno == ENOTTY || errno == EINVAL
               ? "the adapter switches by itself, its driver has no RS-485 mode"
               : std::string{"its RS-485 mode can't be read: "} + std::strerror(errno);
  }
  serial_rs485 wanted = present;
  wanted.flags |= SER_RS485_ENABLED | SER_RS485_RTS_ON_SEND;
  wanted.flags &= ~static_cast<__u32>(SER_RS485_RTS_AFTER_SEND);
  if (driver.control(fd, TIOCSRS485, &wanted) != 0) {
    return std::string{"the driver refuses RS-485 mode: "} + std::strerror(errno);
  }
  kernel_->found_rs485 = present;
  serial_rs485 held{};
  constexpr __u32 kAsked = SER_RS485_ENABLED | SER_RS485_RTS_ON_SEND | SER_RS485_RTS_AFTER_SEND;
  if (driver.control(fd, TIOCGRS485, &held) != 0 || (held.flags & kAsked) != (wanted.flags & kAsked)) {
    return "the driver keeps other RS-485 settings than were set";
  }
  return {};
}

void SerialModes::restore(int fd, Driver& driver) {
  if (kernel_ == nullptr) {
    return;
  }
  if (kernel_->found_rs485.has_value()) {
    (void)driver.control(fd, TIOCSRS485, &*kernel_->found_rs485);
    kernel_->found_rs485.reset();
  }
  if (kernel_->found.has_value()) {
    (void)driver.control(fd, TIOCSSERIAL, &*kernel_->found);
    kernel_->found.reset();
  }
}

}  // namespace host::link
