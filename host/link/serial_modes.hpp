#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "host/link/driver.hpp"

namespace host::link {

/// Whether the kernel switches a transceiver's direction by RTS.
enum class Rs485 : std::uint8_t { kLeaveAlone, kByKernel };

/// What a serial port has beside its line settings: low latency and RS-485 switching. Both are set only where
/// the driver has them, and given back as they were.
///
/// Source  the kernel's Documentation/driver-api/serial/serial-rs485.rst; tty_flags.h (ASYNC_LOW_LATENCY).
class SerialModes {
 public:
  SerialModes();
  SerialModes(SerialModes&&) noexcept;
  SerialModes& operator=(SerialModes&&) noexcept;
  ~SerialModes();

  /// Asks the driver to hand on octets as they come. A driver that can't is none the worse for it.
  void ask_low_latency(int fd, Driver& driver);

  /// Has the kernel hold RTS while it sends: reads the present state, changes it, sets it, reads it back.
  /// Returns  nothing, or why not: the adapter has no such switch, or keeps other settings than were set.
  [[nodiscard]] std::string enable_rs485(int fd, Driver& driver);

  /// Sets back what was changed.
  void restore(int fd, Driver& driver);

 private:
  struct Kernel;
  std::unique_ptr<Kernel> kernel_;
};

}  // namespace host::link
