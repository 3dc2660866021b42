#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "host/link/driver.hpp"

namespace host::link {

/// What a serial port's driver has counted of characters that came in wrong, whoever had the port open.
struct LineCounters {
  std::uint32_t parity = 0;
  std::uint32_t framing = 0;   ///< no stop bit where one was due: another speed or format, or noise
  std::uint32_t overruns = 0;  ///< characters that this machine was too slow for, in the UART or above it
  std::uint32_t breaks = 0;    ///< the line lay still for longer than a character

  LineCounters& operator+=(const LineCounters& other);
  friend bool operator==(const LineCounters&, const LineCounters&) = default;
};

/// What `fd`'s driver has counted so far; nothing where it doesn't count, as a pseudo-terminal's.
/// Source  ioctl_tty(2), TIOCGICOUNT; the kernel's include/uapi/linux/serial.h.
[[nodiscard]] std::optional<LineCounters> read_line_counters(int fd, Driver& driver = system_driver());

/// What was counted from `before` to `now`. A counter that ran over its 32 bits goes on from 0.
[[nodiscard]] LineCounters counted(const LineCounters& before, const LineCounters& now);

/// "12 without a stop bit, 3 with a wrong parity"; empty where nothing was counted.
[[nodiscard]] std::string to_text(const LineCounters& counters);

}  // namespace host::link
