#include "host/link/terminal.hpp"

#include <cstdint>
#include <cstdlib>

#include <asm/termbits.h>
#include <fmt/core.h>
#include <sys/ioctl.h>

namespace host::link {

struct TerminalState::Kernel {
  termios2 settings{};
};

TerminalState::TerminalState() : kernel_{std::make_unique<Kernel>()} {}
TerminalState::TerminalState(TerminalState&&) noexcept = default;
TerminalState& TerminalState::operator=(TerminalState&&) noexcept = default;
TerminalState::~TerminalState() = default;

bool TerminalState::read_from(int fd, Driver& driver) {
  return driver.control(fd, TCGETS2, &kernel_->settings) == 0;
}

bool TerminalState::write_to(int fd, Driver& driver) const {
  return driver.control(fd, TCSETS2, &kernel_->settings) == 0;
}

TerminalState TerminalState::raw(const LineSettings& line) const {
  TerminalState state;
  termios2& settings = state.kernel_->settings;
  settings = kernel_->settings;
  settings.c_iflag = INPCK | PARMRK;
  settings.c_oflag = 0;
  settings.c_lflag = 0;
  settings.c_cflag &= ~static_cast<tcflag_t>(CSIZE | CSTOPB | PARENB | PARODD | CMSPAR | HUPCL | CRTSCTS |
                                             CBAUD | (CBAUD << IBSHIFT));
  settings.c_cflag |= CS8 | CREAD | CLOCAL | BOTHER;
  if (line.stop_bits == 2) {
    settings.c_cflag |= CSTOPB;
  }
  if (line.parity != Parity::kNone) {
    settings.c_cflag |= PARENB | (line.parity == Parity::kOdd ? PARODD : 0U);
  }
  settings.c_ispeed = line.baud;
  settings.c_ospeed = line.baud;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  return state;
}

std::string TerminalState::differs_from(const LineSettings& line, bool checks_format) const {
  const termios2& settings = kernel_->settings;
  const auto off =
      std::abs(static_cast<std::int64_t>(settings.c_ospeed) - static_cast<std::int64_t>(line.baud));
  if (off * 50 > line.baud) {
    return fmt::format("the driver runs at {} Bd instead of {}, more than 2 % off", settings.c_ospeed,
                       line.baud);
  }
  if ((settings.c_iflag & PARMRK) == 0) {
    return "the driver doesn't mark damaged characters";
  }
  if (!checks_format) {
    return {};
  }
  const bool parity_held =
      ((settings.c_cflag & PARENB) != 0) == (line.parity != Parity::kNone) &&
      (line.parity == Parity::kNone || ((settings.c_cflag & PARODD) != 0) == (line.parity == Parity::kOdd));
  if (!parity_held) {
    return "the driver doesn't take this parity";
  }
  if ((settings.c_cflag & CSIZE) != CS8 || ((settings.c_cflag & CSTOPB) != 0) != (line.stop_bits == 2)) {
    return "the driver doesn't take eight data bits with these stop bits";
  }
  return {};
}

int terminal_columns(int fd) {
  winsize size{};
  return ::ioctl(fd, TIOCGWINSZ, &size) == 0 ? size.ws_col : 0;
}

}  // namespace host::link
