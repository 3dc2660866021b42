#include "sim/port/terminal_speed.hpp"

// The kernel's own termios, which takes any number for a speed; it can't stand beside the C library's.
#include <asm/ioctls.h>
#include <asm/termbits.h>
#include <sys/ioctl.h>

namespace sim::port {

std::optional<std::uint32_t> terminal_speed(int fd) {
  termios2 settings{};
  if (::ioctl(fd, TCGETS2, &settings) != 0 || settings.c_ospeed == 0) return std::nullopt;
  return settings.c_ospeed;
}

bool set_terminal(int fd, const line::CharacterFormat& format) {
  termios2 settings{};
  if (::ioctl(fd, TCGETS2, &settings) != 0) return false;
  settings.c_iflag = format.parity == line::Parity::kNone ? 0U : static_cast<tcflag_t>(INPCK);
  settings.c_oflag = 0;
  settings.c_lflag = 0;
  settings.c_cflag = BOTHER | CS8 | CREAD | CLOCAL;
  if (format.parity != line::Parity::kNone) settings.c_cflag |= PARENB;
  if (format.parity == line::Parity::kOdd) settings.c_cflag |= PARODD;
  if (format.stop_bits == 2) settings.c_cflag |= CSTOPB;
  settings.c_ispeed = settings.c_ospeed = format.baud;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  return ::ioctl(fd, TCSETS2, &settings) == 0;
}

}  // namespace sim::port
