#pragma once

#include <sys/types.h>

namespace host::link {

/// How the driver of a serial port is asked. The system's own stands behind it, unless a test gives one that
/// no pseudo-terminal is: with RS-485, low latency, counters, or a speed of its own mind.
class Driver {
 public:
  Driver() = default;
  virtual ~Driver() = default;
  Driver(const Driver&) = delete;
  Driver& operator=(const Driver&) = delete;

  /// As ioctl(2) with a pointer: not -1, or -1 and errno.
  [[nodiscard]] virtual int control(int fd, unsigned long request, void* argument);

  /// Whether `device` is the slave end of a pseudo-terminal: it keeps no parity, and who simulates the line
  /// commonly holds it open.
  /// Source  Linux Documentation/admin-guide/devices.txt: majors 136 to 143.
  [[nodiscard]] virtual bool is_pseudo_terminal(dev_t device);
};

/// The one that asks the system.
[[nodiscard]] Driver& system_driver();

}  // namespace host::link
