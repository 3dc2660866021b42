#include "host/link/line_counters.hpp"

#include <linux/serial.h>
#include <sys/ioctl.h>

namespace host::link {

std::optional<LineCounters> read_line_counters(int fd, Driver& driver) {
  serial_icounter_struct kernel{};
  if (driver.control(fd, TIOCGICOUNT, &kernel) != 0) {
    return std::nullopt;
  }
  const auto count = [](int value) { return static_cast<std::uint32_t>(value); };
  return LineCounters{count(kernel.parity), count(kernel.frame),
                      count(kernel.overrun) + count(kernel.buf_overrun), count(kernel.brk)};
}

LineCounters counted(const LineCounters& before, const LineCounters& now) {
  return {now.parity - before.parity, now.framing - before.framing, now.overruns - before.overruns,
          now.breaks - before.breaks};
}

}  // namespace host::link
