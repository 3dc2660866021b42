#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <sys/types.h>

#include "protocol/base/time.hpp"

namespace host::link {

/// Where the operating system shows its devices; tests put a tree of their own there.
struct SystemRoots {
  std::filesystem::path sys = "/sys";
  std::filesystem::path dev = "/dev";
  std::filesystem::path proc = "/proc";
};

/// A serial port as the system lists it.
struct SystemPort {
  std::string path;        ///< /dev/ttyUSB0
  std::string driver;      ///< ftdi_sio; empty where the system names none
  std::string by_id;       ///< /dev/serial/by-id/… when there is such a name, else empty
  std::string product;     ///< what a USB adapter calls itself, control characters replaced; else empty
  std::string usb_serial;  ///< its serial number, likewise
  std::optional<std::uint32_t> latency_timer_ms;  ///< how long it holds octets back, where its driver says so
};

/// The serial ports that are there, sorted by path. Opens none: opening a port raises its modem lines and may
/// disturb whoever uses it. A node counts when the kernel names a device and a driver behind it; of the
/// platform's built-in UARTs only those the kernel found to be real (their `type` is not 0).
/// Source  Linux Documentation/ABI/testing/sysfs-tty.
[[nodiscard]] std::vector<SystemPort> system_ports(const SystemRoots& roots = {});

/// How long the adapter behind `path` holds octets back, where its driver has a latency timer.
/// Source  the kernel's ftdi_sio driver: its attribute latency_timer, in milliseconds.
[[nodiscard]] std::optional<protocol::base::Duration> adapter_latency(const std::string& path,
                                                                      const SystemRoots& roots = {});

/// The name under /dev/serial/by-id that leads to `path`, which keeps to the adapter when its node gets
/// another number; empty where there is none.
[[nodiscard]] std::string by_id_name(const std::string& path, const SystemRoots& roots = {});

/// A process that has a device open or locked.
struct PortHolder {
  pid_t pid = 0;
  std::string program;  ///< its name as the kernel shows it, control characters replaced; may be empty
  pid_t parent = 0;     ///< who started it; 0 where the system doesn't say
};

/// Who else has `path` open or holds a lock on it, as far as this user may see: /proc/PID/fd for processes of
/// the same user (all, for root), /proc/locks for everybody's locks. Never names the calling process.
[[nodiscard]] std::vector<PortHolder> port_holders(const std::string& path, const SystemRoots& roots = {});

/// One clause that lists `ports` for an error message: "there are /dev/ttyS0 (serial8250) and …", or that
/// there are none.
[[nodiscard]] std::string describe(const std::vector<SystemPort>& ports);

}  // namespace host::link
