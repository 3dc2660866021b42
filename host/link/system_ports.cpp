#include "host/link/system_ports.hpp"

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <fstream>
#include <optional>
#include <string_view>
#include <system_error>

#include <fmt/core.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

namespace host::link {

namespace fs = std::filesystem;

namespace {

std::string first_line(const fs::path& file) {
  std::ifstream in{file};
  std::string line;
  std::getline(in, line);
  std::replace_if(
      line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; },
      '?');
  return line;
}

// A directory that vanishes or forbids itself while it is listed is an empty one.
std::vector<fs::path> entries(const fs::path& folder) {
  std::vector<fs::path> found;
  std::error_code error;
  for (fs::directory_iterator at{folder, error}, end; !error && at != end; at.increment(error)) {
    found.push_back(at->path());
  }
  return found;
}

std::optional<pid_t> pid_of(std::string_view text) {
  pid_t pid = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), pid);
  if (error != std::errc{} || end != text.data() + text.size() || pid <= 0) {
    return std::nullopt;
  }
  return pid;
}

pid_t parent_of(const fs::path& process) {
  constexpr std::string_view kKey = "PPid:\t";
  std::ifstream in{process / "status"};
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with(kKey)) {
      return pid_of(std::string_view{line}.substr(kKey.size())).value_or(0);
    }
  }
  return 0;
}

// Only what its name says to be among the devices is looked at: a file of a network's might never answer.
bool has_open(const fs::path& process, dev_t device, const fs::path& devices) {
  const auto files = entries(process / "fd");
  return std::any_of(files.begin(), files.end(), [&](const fs::path& file) {
    std::error_code error;
    struct stat status{};
    return fs::read_symlink(file, error).string().starts_with(devices.string() + "/") &&
           ::stat(file.c_str(), &status) == 0 && S_ISCHR(status.st_mode) && status.st_rdev == device;
  });
}

// Lines of /proc/locks: "1: FLOCK  ADVISORY  WRITE 708 00:19:5 0 EOF", the last but two being the node's
// file system and inode.
std::vector<pid_t> lock_owners(const fs::path& locks, const struct stat& node) {
  const std::string place =
      fmt::format("{:02x}:{:02x}:{}", major(node.st_dev), minor(node.st_dev), node.st_ino);
  std::vector<pid_t> owners;
  std::ifstream in{locks};
  for (std::string line; std::getline(in, line);) {
    std::vector<std::string_view> words;
    const std::string_view view = line;
    for (std::size_t at = view.find_first_not_of(' '); at != std::string_view::npos;) {
      const std::size_t end = std::min(view.find(' ', at), view.size());
      words.push_back(view.substr(at, end - at));
      at = view.find_first_not_of(' ', end);
    }
    if (words.size() >= 6 && words[1] != "->" && words[5] == place) {
      if (const auto pid = pid_of(words[4])) {
        owners.push_back(*pid);
      }
    }
  }
  return owners;
}

// Newer kernels put two layers of their own, the bus serial-base, between a port and its device.
std::string driver_of(const fs::path& entry) {
  constexpr int kLevelsMax = 3;
  std::error_code error;
  fs::path folder = fs::canonical(entry / "device", error);
  for (int level = 0; !error && level < kLevelsMax; ++level, folder = folder.parent_path()) {
    const fs::path driver = fs::read_symlink(folder / "driver", error);
    if (error) {
      return {};
    }
    if (driver.parent_path().parent_path().filename() != "serial-base") {
      return driver.filename().string();
    }
  }
  return {};
}

std::optional<std::uint32_t> latency_timer(const fs::path& entry) {
  const std::string text = first_line(entry / "device" / "latency_timer");
  std::uint32_t milliseconds = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), milliseconds);
  constexpr std::uint32_t kMost = 255;
  const bool sound = error == std::errc{} && end == text.data() + text.size() && milliseconds <= kMost;
  return sound ? std::optional{milliseconds} : std::nullopt;
}

// A USB device stands a few folders above the port it makes, and alone has a vendor number.
fs::path usb_device(const fs::path& entry) {
  constexpr int kLevelsMax = 4;
  std::error_code error;
  fs::path folder = fs::canonical(entry / "device", error);
  for (int level = 0; !error && level < kLevelsMax; ++level, folder = folder.parent_path()) {
    if (fs::exists(folder / "idVendor", error)) {
      return folder;
    }
  }
  return {};
}

}  // namespace

std::string by_id_name(const std::string& path, const SystemRoots& roots) {
  std::error_code error;  // of a link that leads nowhere or in a circle
  const fs::path node = fs::canonical(path, error);
  for (const fs::path& link : entries(roots.dev / "serial" / "by-id")) {
    if (!node.empty() && fs::canonical(link, error) == node) {
      return link.string();
    }
  }
  return {};
}

std::optional<protocol::base::Duration> adapter_latency(const std::string& path, const SystemRoots& roots) {
  std::error_code error;
  const fs::path node = fs::canonical(path, error);
  const auto timer = error ? std::nullopt : latency_timer(roots.sys / "class" / "tty" / node.filename());
  return timer ? std::optional{protocol::base::milliseconds(*timer)} : std::nullopt;
}

std::vector<SystemPort> system_ports(const SystemRoots& roots) {
  std::vector<SystemPort> ports;
  for (const fs::path& entry : entries(roots.sys / "class" / "tty")) {
    std::error_code error;
    const std::string driver = driver_of(entry);
    if (driver.empty() || !fs::exists(roots.dev / entry.filename(), error)) {
      continue;
    }
    // The kernel registers more built-in UARTs than the machine has; those have no chip type.
    if (first_line(entry / "type") == "0") {
      continue;
    }
    const fs::path node = roots.dev / entry.filename();
    SystemPort port{node.string(), driver, by_id_name(node.string(), roots), {}, {}, {}};
    if (const fs::path device = usb_device(entry); !device.empty()) {
      port.product = first_line(device / "product");
      port.usb_serial = first_line(device / "serial");
    }
    port.latency_timer_ms = latency_timer(entry);
    ports.push_back(std::move(port));
  }
  std::sort(ports.begin(), ports.end(),
            [](const SystemPort& a, const SystemPort& b) { return a.path < b.path; });
  return ports;
}

std::vector<PortHolder> port_holders(const std::string& path, const SystemRoots& roots) {
  struct stat node{};
  if (::stat(path.c_str(), &node) != 0) {
    return {};
  }
  std::vector<pid_t> pids = lock_owners(roots.proc / "locks", node);
  for (const fs::path& entry : entries(roots.proc)) {
    const auto pid = pid_of(entry.filename().string());
    if (pid.has_value() && *pid != ::getpid() && has_open(entry, node.st_rdev, roots.dev)) {
      pids.push_back(*pid);
    }
  }
  std::vector<PortHolder> holders;
  for (const pid_t pid : pids) {
    const bool known = std::any_of(holders.begin(), holders.end(),
                                   [&](const PortHolder& holder) { return holder.pid == pid; });
    if (!known && pid != ::getpid()) {
      const fs::path process = roots.proc / std::to_string(pid);
      holders.push_back(PortHolder{pid, first_line(process / "comm"), parent_of(process)});
    }
  }
  return holders;
}

std::string describe(const std::vector<SystemPort>& ports) {
  if (ports.empty()) {
    return "this machine shows no serial port at all";
  }
  std::string text = "there ";
  text += ports.size() == 1 ? "is " : "are ";
  for (std::size_t i = 0; i < ports.size(); ++i) {
    if (i > 0) {
      text += i + 1 == ports.size() ? " and " : ", ";
    }
    text += ports[i].path;
    const std::string& note = ports[i].by_id.empty() ? ports[i].driver : ports[i].by_id;
    if (!note.empty()) {
      text += fmt::format(" ({})", note);
    }
  }
  return text;
}

}  // namespace host::link
