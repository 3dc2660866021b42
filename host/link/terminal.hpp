#pragma once

#include <memory>
#include <string>

#include "host/link/driver.hpp"
#include "host/link/line_settings.hpp"

namespace host::link {

/// What the kernel keeps of a terminal's settings; opaque, because its header can't stand beside <termios.h>.
class TerminalState {
 public:
  TerminalState();
  TerminalState(TerminalState&&) noexcept;
  TerminalState& operator=(TerminalState&&) noexcept;
  ~TerminalState();

  /// Reads the present settings of `fd`. False with errno set when it has none.
  [[nodiscard]] bool read_from(int fd, Driver& driver = system_driver());

  /// Writes these settings back, at once. False with errno set.
  [[nodiscard]] bool write_to(int fd, Driver& driver = system_driver()) const;

  /// These settings changed to a raw 8-bit line of `line`: any speed, damaged octets marked (PARMRK), modem
  /// lines left alone (CLOCAL; no HUPCL, so that DTR stays up at close; no CRTSCTS), a read waits for the
  /// first octet and returns what is there (VMIN 1, VTIME 0: a read of nothing then means hung up).
  /// Source  ioctl_tty(2), termios(3): struct termios2, BOTHER.
  [[nodiscard]] TerminalState raw(const LineSettings& line) const;

  /// What of `line` these settings, read back, don't hold: one clause such as "the driver runs at 9615 Bd
  /// instead of 9600", or empty. A speed may be off by 2 % (SL 3.2). `checks_format` is false on a
  /// pseudo-terminal, which keeps no parity.
  [[nodiscard]] std::string differs_from(const LineSettings& line, bool checks_format) const;

 private:
  struct Kernel;
  std::unique_ptr<Kernel> kernel_;
};

/// How many columns the terminal at `fd` shows; 0 when it is none or doesn't say. Source  ioctl_tty(2),
/// TIOCGWINSZ.
[[nodiscard]] int terminal_columns(int fd);

}  // namespace host::link
