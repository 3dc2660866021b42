#include "host/link/system_ports.hpp"

#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>

#include "host/link/serial_handle.hpp"
#include "host/link/transport.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;
namespace fs = std::filesystem;

namespace {

// A tree as the kernel shows it, of a USB adapter and of a built-in port with the two layers of newer
// kernels. Source  Linux Documentation/ABI/testing/sysfs-tty, sysfs-bus-usb;
// drivers/tty/serial/serial_base_bus.c.
SystemRoots tree(const fs::path& root) {
  const SystemRoots roots{root / "sys", root / "dev", root / "proc"};
  const fs::path usb = roots.sys / "devices/pci/usb1/1-1";
  const fs::path adapter = usb / "1-1:1.0/ttyUSB0";
  const fs::path bus = roots.sys / "bus/usb-serial/drivers/ftdi_sio";
  fs::create_directories(adapter);
  fs::create_directories(bus);
  fs::create_directories(roots.sys / "class/tty/ttyUSB0");
  fs::create_directories(roots.dev / "serial/by-id");
  fs::create_directories(roots.proc);
  std::ofstream{usb / "idVendor"} << "0403\n";
  std::ofstream{usb / "product"} << "RS-485 \x1b[2J adapter\n";
  std::ofstream{usb / "serial"} << "A50285BI\n";
  std::ofstream{adapter / "latency_timer"} << "16\n";
  fs::create_directory_symlink(bus, adapter / "driver");
  fs::create_directory_symlink(adapter, roots.sys / "class/tty/ttyUSB0/device");
  std::ofstream{roots.dev / "ttyUSB0"} << "";
  fs::create_symlink("../../ttyUSB0", roots.dev / "serial/by-id/usb-RS-485_A50285BI-if00-port0");

  const fs::path chip = roots.sys / "devices/pnp0/00:00";
  fs::create_directories(chip / "00:00:0/00:00:0.0");
  fs::create_directories(roots.sys / "class/tty/ttyS0");
  for (const char* driver :
       {"bus/pnp/drivers/serial", "bus/serial-base/drivers/ctrl", "bus/serial-base/drivers/port"}) {
    fs::create_directories(roots.sys / driver);
  }
  fs::create_directory_symlink(roots.sys / "bus/pnp/drivers/serial", chip / "driver");
  fs::create_directory_symlink(roots.sys / "bus/serial-base/drivers/ctrl", chip / "00:00:0/driver");
  fs::create_directory_symlink(roots.sys / "bus/serial-base/drivers/port", chip / "00:00:0/00:00:0.0/driver");
  fs::create_directory_symlink(chip / "00:00:0/00:00:0.0", roots.sys / "class/tty/ttyS0/device");
  std::ofstream{roots.sys / "class/tty/ttyS0/type"} << "4\n";
  std::ofstream{roots.dev / "ttyS0"} << "";
  return roots;
}

}  // namespace

TEST_SUITE("host/link/system_ports") {
  TEST_CASE("a port is listed with its lasting name, driver, adapter, serial number and latency") {
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots = tree(folder.path());
    const auto ports = system_ports(roots);
    REQUIRE(ports.size() == 2);
    CHECK(ports[0].driver == "serial");
    CHECK_FALSE(ports[0].latency_timer_ms.has_value());
    CHECK(ports[0].usb_serial.empty());
    CHECK(ports[1].path == (roots.dev / "ttyUSB0").string());
    CHECK(ports[1].driver == "ftdi_sio");
    CHECK(ports[1].by_id == (roots.dev / "serial/by-id/usb-RS-485_A50285BI-if00-port0").string());
    CHECK(ports[1].product == "RS-485 ?[2J adapter");
    CHECK(ports[1].usb_serial == "A50285BI");
    CHECK(ports[1].latency_timer_ms == 16);
  }

  TEST_CASE("the latency timer enters the deadline by whichever name the port has, and nonsense doesn't") {
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots = tree(folder.path());
    CHECK(adapter_latency((roots.dev / "ttyUSB0").string(), roots) == protocol::base::milliseconds(16));
    CHECK(adapter_latency((roots.dev / "serial/by-id/usb-RS-485_A50285BI-if00-port0").string(), roots) ==
          protocol::base::milliseconds(16));
    CHECK_FALSE(adapter_latency((roots.dev / "ttyS0").string(), roots).has_value());
    CHECK_FALSE(adapter_latency("/nowhere", roots).has_value());
    for (const char* text : {"", "-1", "256", "16 ms", "99999999999"}) {
      std::ofstream{roots.sys / "class/tty/ttyUSB0/device/latency_timer"} << text << "\n";
      CHECK_FALSE(adapter_latency((roots.dev / "ttyUSB0").string(), roots).has_value());
    }
  }

  TEST_CASE("an adapter is found again by its lasting name when its node got another number") {
    const Pty first;
    const Pty second;
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots{"/sys", folder.path(), "/proc"};
    const fs::path link = roots.dev / "serial/by-id/usb-RS-485_A50285BI-if00-port0";
    fs::create_directories(link.parent_path());
    fs::create_symlink(first.path, link);
    const std::string name = stable_name(first.path, roots);
    CHECK(name == link.string());
    CHECK(stable_name(second.path, roots) == second.path);
    fs::remove(link);
    fs::create_symlink(second.path, link);
    const auto opened = SerialHandle::open(name, {});
    REQUIRE(opened.has_value());
    char node[64] = {};
    REQUIRE(::ttyname_r(opened->fd(), node, sizeof node) == 0);
    CHECK(node == second.path);
  }

  TEST_CASE(
      "a lasting name is the node's own, by whichever path it is given, or the link that somebody made") {
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots = tree(folder.path());
    const std::string by_id = (roots.dev / "serial/by-id/usb-RS-485_A50285BI-if00-port0").string();
    CHECK(stable_name((roots.dev / "ttyUSB0").string(), roots) == by_id);
    CHECK(stable_name((roots.dev / "serial/../ttyUSB0").string(), roots) == by_id);
    CHECK(stable_name(by_id, roots) == by_id);
    fs::create_symlink("ttyUSB0", roots.dev / "bench");
    CHECK(stable_name((roots.dev / "bench").string(), roots) == (roots.dev / "bench").string());
  }

  TEST_CASE("a port without a lasting name keeps its path, whatever else lies where those names are") {
    const tests::support::TemporaryFolder folder;
    const SystemRoots roots = tree(folder.path());
    const fs::path names = roots.dev / "serial/by-id";
    const auto same = [&](const fs::path& path) {
      return stable_name(path.string(), roots) == path.string();
    };
    CHECK(same(roots.dev / "ttyS0"));
    // The same last name elsewhere is another device; a link may lead nowhere, or in a circle.
    std::ofstream{folder.path() + "/ttyUSB0"} << "";
    CHECK(same(folder.path() + "/ttyUSB0"));
    fs::create_symlink("../../ttyUSB7", names / "a-gone");
    fs::create_symlink("a-loop", names / "a-loop");
    fs::create_symlink("b-there", names / "b-back");
    fs::create_symlink("b-back", names / "b-there");
    for (const char* path : {"ttyUSB7", "ttyS0", "serial/by-id/a-loop", "serial/by-id/a-gone"}) {
      CAPTURE(path);
      CHECK(same(roots.dev / path));
    }
    CHECK(stable_name((roots.dev / "ttyUSB0").string(), roots) ==
          (names / "usb-RS-485_A50285BI-if00-port0").string());
    fs::remove_all(names);
    CHECK(same(roots.dev / "ttyUSB0"));
    CHECK(same("/nowhere"));
  }
}
