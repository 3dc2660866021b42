#pragma once

#include <optional>
#include <string>

#include "host/link/driver.hpp"
#include "host/link/line_counters.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/serial_modes.hpp"
#include "host/link/system_ports.hpp"
#include "host/link/terminal.hpp"

namespace host::link {

/// A serial device opened for this process alone and set to a raw line. Closing gives it back as it was.
class SerialHandle {
 public:
  SerialHandle(SerialHandle&& other) noexcept;
  SerialHandle& operator=(SerialHandle&& other) noexcept;
  SerialHandle(const SerialHandle&) = delete;
  SerialHandle& operator=(const SerialHandle&) = delete;
  ~SerialHandle();

  /// Opens `path`.
  ///
  /// Order    open, flock, TIOCGEXCL, who else has it open, TIOCEXCL, and only then the line settings: a port
  ///          that somebody else uses is never disturbed. TIOCEXCL alone is void for root, flock alone for
  ///          those who don't ask; a program that set neither is found where this user may see it (/proc).
  ///          A pseudo-terminal's other holders are left be: who simulates the line is one.
  /// Returns  the handle; `fd()` is non-blocking and closed on exec.
  /// Errors   kPortMissing (66) says which ports there are; kNotATerminal (66); kNoRights (77) names the
  ///          group of the node and the command that joins it; kBusy (74) names the holder; kSettingsRefused
  ///          (74) says what the driver made of them, or that no port runs at 0 Bd; kGone, kPortFailed (74).
  /// `driver` outlives the handle.
  [[nodiscard]] static Result<SerialHandle> open(const std::string& path, const LineSettings& line,
                                                 Rs485 rs485 = Rs485::kLeaveAlone,
                                                 const SystemRoots& roots = {},
                                                 Driver& driver = system_driver());

  [[nodiscard]] int fd() const { return fd_; }
  [[nodiscard]] const std::string& path() const { return path_; }

  /// What its driver has counted of wrong characters since open(); nothing where it doesn't count, and once
  /// closed.
  [[nodiscard]] std::optional<LineCounters> line_counters() const;

  /// Drops what is still queued, restores the settings found at open() and closes. Safe to call twice, and on
  /// a device that is gone.
  void close();

 private:
  SerialHandle(int fd, std::string path, Driver& driver)
      : fd_{fd}, path_{std::move(path)}, driver_{&driver} {}

  int fd_ = -1;
  bool changed_ = false;  // whether found_ has to be written back
  std::string path_;
  Driver* driver_;
  std::optional<LineCounters> counters_;  // as open() found them
  TerminalState found_;
  SerialModes modes_;
};

/// Whether `error` (an errno) means that the device, or who was at the other end of a connection, is no
/// longer there.
[[nodiscard]] bool means_gone(int error);

}  // namespace host::link
