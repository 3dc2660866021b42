#include "host/link/system_ports.hpp"

#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>

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
}
