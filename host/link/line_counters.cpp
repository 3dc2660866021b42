#include "host/link/line_counters.hpp"

#include <string_view>
#include <utility>

#include <fmt/core.h>
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

LineCounters& LineCounters::operator+=(const LineCounters& other) {
  parity += other.parity;
  framing += other.framing;
  overruns += other.overruns;
  breaks += other.breaks;
  return *this;
}

std::string to_text(const LineCounters& counters) {
  const std::pair<std::uint32_t, std::string_view> kinds[]{{counters.framing, "without a stop bit"},
                                                           {counters.parity, "with a wrong parity"},
                                                           {counters.breaks, "that were breaks"},
                                                           {counters.overruns, "lost for want of time"}};
  std::string text;
  for (const auto& [count, what] : kinds) {
    if (count > 0) text += fmt::format("{}{} {}", text.empty() ? "" : ", ", count, what);
  }
  return text;
}

LineCounters counted(const LineCounters& before, const LineCounters& now) {
  return {now.parity - before.parity, now.framing - before.framing, now.overruns - before.overruns,
          now.breaks - before.breaks};
}

}  // namespace host::link
