#include "host/link/driver.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <memory>
#include <string>

#include <sys/ioctl.h>

#include "host/link/serial_handle.hpp"
#include "host/link/stream_port.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/traced_port.hpp"
#include "tests/host/link/fake_driver.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;

namespace {

// Eight bits without parity are what a pseudo-terminal keeps as a UART would.
const LineSettings kLine{115200, Parity::kNone, 2};

Result<SerialHandle> open_at(const Pty& pty, FakeDriver& driver, Rs485 rs485 = Rs485::kLeaveAlone,
                             const LineSettings& line = kLine) {
  return SerialHandle::open(pty.path, line, rs485, {}, driver);
}

std::string refusal(const Result<SerialHandle>& opened) {
  if (opened) return "opened";
  return std::string{name_of(opened.error().fault)} + " | " + opened.error().message + " | " +
         opened.error().remedy;
}

// Whatever a test did to the port, it is as the test's own end made it.
bool as_found(const Pty& pty) {
  termios made{};
  termios now{};
  REQUIRE(::tcgetattr(pty.master, &now) == 0);
  const Pty fresh;
  REQUIRE(::tcgetattr(fresh.master, &made) == 0);
  return now.c_iflag == made.c_iflag && now.c_oflag == made.c_oflag && now.c_cflag == made.c_cflag &&
         now.c_lflag == made.c_lflag && std::memcmp(now.c_cc, made.c_cc, sizeof now.c_cc) == 0 &&
         ::cfgetospeed(&now) == ::cfgetospeed(&made);
}

// Flags as the kernel's Documentation/driver-api/serial/serial-rs485.rst has them.
constexpr std::uint32_t kOn = SER_RS485_ENABLED | SER_RS485_RTS_ON_SEND;

}  // namespace

TEST_SUITE("host/link/driver") {
  TEST_CASE(
      "a driver with RS-485 is asked to hold RTS while it sends, and has its own setting back at close") {
    const Pty pty;
    FakeDriver driver;
    driver.rs485 = serial_rs485{};
    driver.rs485->flags = SER_RS485_RTS_AFTER_SEND | SER_RS485_RX_DURING_TX;
    driver.rs485->delay_rts_before_send = 3;
    const serial_rs485 found = *driver.rs485;
    {
      const auto opened = open_at(pty, driver, Rs485::kByKernel);
      REQUIRE_MESSAGE(opened.has_value(), refusal(opened));
      CHECK(driver.rs485->flags == (kOn | SER_RS485_RX_DURING_TX));
      CHECK(driver.rs485->delay_rts_before_send == 3);
    }
    CHECK(std::memcmp(&*driver.rs485, &found, sizeof found) == 0);
    CHECK(driver.rs485_asked == std::vector<std::uint32_t>{kOn | SER_RS485_RX_DURING_TX, found.flags});
  }

  TEST_CASE("a link that doesn't ask for RS-485 leaves the driver's setting alone") {
    const Pty pty;
    FakeDriver driver;
    driver.rs485 = serial_rs485{};
    CHECK(refusal(open_at(pty, driver)) == "opened");
    CHECK(driver.rs485_asked.empty());
  }

  TEST_CASE("a driver that takes RS-485 and keeps something else is refused, the port as it was") {
    const Pty pty;
    for (const auto ignored : std::to_array<std::uint32_t>({SER_RS485_ENABLED, SER_RS485_RTS_ON_SEND})) {
      CAPTURE(ignored);
      FakeDriver driver;
      driver.rs485 = serial_rs485{};
      driver.rs485_ignores = ignored;
      driver.serial = serial_struct{};
      const std::string said = refusal(open_at(pty, driver, Rs485::kByKernel));
      CHECK(said == "settings-refused | " + pty.path +
                        " can't be RS-485 by RTS: the driver keeps other RS-485 settings than were set | "
                        "leave rs485 out of the link");
      CHECK(driver.rs485_asked == std::vector<std::uint32_t>{kOn, 0});
      CHECK(driver.serial->flags == 0);
      CHECK(as_found(pty));
    }
  }

  TEST_CASE("a driver is asked to hand on octets as they come, and is as it was at close") {
    const Pty pty;
    FakeDriver driver;
    driver.serial = serial_struct{};
    driver.serial->flags = ASYNC_SKIP_TEST;
    driver.serial->baud_base = 3'000'000;
    {
      const auto opened = open_at(pty, driver);
      REQUIRE_MESSAGE(opened.has_value(), refusal(opened));
      CHECK(driver.serial->flags == static_cast<int>(ASYNC_SKIP_TEST | ASYNC_LOW_LATENCY));
      CHECK(driver.serial->baud_base == 3'000'000);
    }
    CHECK(driver.serial->flags == static_cast<int>(ASYNC_SKIP_TEST));
    // One that hands them on already is left so.
    driver.serial->flags = static_cast<int>(ASYNC_LOW_LATENCY);
    driver.serial_set.clear();
    CHECK(refusal(open_at(pty, driver)) == "opened");
    CHECK(driver.serial_set.empty());
  }

  TEST_CASE("a driver that refuses low latency is none the worse for it, and isn't asked to undo it") {
    const Pty pty;
    for (const int error : {EPERM, ENOTTY}) {
      CAPTURE(error);
      FakeDriver driver;
      driver.serial = serial_struct{};
      driver.serial_refuses = error;
      CHECK(refusal(open_at(pty, driver)) == "opened");
      CHECK(driver.serial_set == std::vector<std::int32_t>{static_cast<int>(ASYNC_LOW_LATENCY)});
    }
    FakeDriver without;
    CHECK(refusal(open_at(pty, without)) == "opened");
    CHECK(without.serial_set.empty());
  }

  // A transmitter may be off by 2 %: MODBUS over Serial Line V1.02, 3.2.
  TEST_CASE(
      "a speed that the driver makes more than 2 % of is refused with both speeds, the port as it was") {
    const Pty pty;
    for (const std::uint32_t baud : {0U, 9600U, 112'895U, 117'505U, 4'000'000'000U}) {
      CAPTURE(baud);
      FakeDriver driver;
      driver.runs_at = baud;
      driver.serial = serial_struct{};
      CHECK(refusal(open_at(pty, driver)) ==
            "settings-refused | " + pty.path + " doesn't take 115200 Bd 8N2: the driver runs at " +
                std::to_string(baud) +
                " Bd instead of 115200, more than 2 % off | choose settings that the adapter and the unit "
                "both support");
      CHECK(as_found(pty));
    }
    for (const std::uint32_t baud : {112'896U, 115'385U, 117'504U}) {
      CAPTURE(baud);
      FakeDriver driver;
      driver.runs_at = baud;
      CHECK(refusal(open_at(pty, driver)) == "opened");
    }
  }

  TEST_CASE("a driver that drops the parity is refused, the port as it was") {
    const Pty pty;
    FakeDriver driver;
    const std::string said = refusal(open_at(pty, driver, Rs485::kLeaveAlone, {115200, Parity::kEven, 1}));
    CHECK(contains(said, "settings-refused"));
    CHECK(contains(said, "115200 Bd 8E1: the driver doesn't take this parity"));
    CHECK(as_found(pty));
  }

  // Without marks a character that arrived damaged would be data.
  TEST_CASE("a driver that doesn't mark damaged characters is refused, the port as it was") {
    const Pty pty;
    FakeDriver driver;
    driver.drops_marks = true;
    CHECK(
        refusal(open_at(pty, driver)) ==
        "settings-refused | " + pty.path +
            " doesn't take 115200 Bd 8N2: the driver doesn't mark damaged characters | choose settings that "
            "the adapter and the unit both support");
    CHECK(as_found(pty));
  }

  TEST_CASE("no speed at all is refused before the driver is asked anything, for it would hang up") {
    const Pty pty;
    FakeDriver driver;
    const std::string said = refusal(open_at(pty, driver, Rs485::kLeaveAlone, {0, Parity::kNone, 2}));
    CHECK(contains(said, "settings-refused | " + pty.path + " can't run at 0 Bd | "));
    CHECK(driver.requests.empty());
    CHECK(as_found(pty));
  }

  // Other equipment may be wired to DTR and RTS, reset or powered by them. What is asked for is on this list,
  // and no request that sets, raises or lowers them (TIOCMSET, TIOCMBIS, TIOCMBIC, a break) ever is.
  TEST_CASE("modem lines are left alone: a driver is asked for nothing but what is listed here") {
    const Pty pty;
    FakeDriver driver;
    driver.rs485 = serial_rs485{};
    driver.serial = serial_struct{};
    driver.counts = serial_icounter_struct{};
    {
      const auto opened = open_at(pty, driver, Rs485::kByKernel);
      REQUIRE_MESSAGE(opened.has_value(), refusal(opened));
      CHECK(opened->line_counters().has_value());
    }
    driver.runs_at = 1;
    CHECK(contains(refusal(open_at(pty, driver)), "settings-refused"));
    const auto listed = std::to_array<unsigned long>(
        {TIOCGEXCL, TIOCEXCL, TIOCNXCL, FakeDriver::kReadSettings, FakeDriver::kWriteSettings, TIOCGSERIAL,
         TIOCSSERIAL, TIOCGRS485, TIOCSRS485, TIOCGICOUNT});
    for (const unsigned long allowed : listed) {
      CAPTURE(allowed);
      CHECK(std::count(driver.requests.begin(), driver.requests.end(), allowed) > 0);
    }
    for (const unsigned long request : driver.requests) {
      CAPTURE(request);
      CHECK(std::find(listed.begin(), listed.end(), request) != listed.end());
    }
  }

  TEST_CASE("what the driver counts of wrong characters is told from the opening on, through a trace too") {
    const Pty pty;
    FakeDriver driver;
    driver.counts = serial_icounter_struct{};
    driver.counts->parity = 7;
    driver.counts->overrun = -1;  // the kernel's counters run over
    auto opened = open_at(pty, driver);
    REQUIRE_MESSAGE(opened.has_value(), refusal(opened));
    SerialHandle moved = std::move(*opened);
    CHECK(moved.line_counters() == LineCounters{});
    const tests::support::TemporaryFolder folder;
    const auto writer = trace::Writer::create(folder.path() + "/t.pcapng");
    REQUIRE(writer.has_value());
    auto port = traced(std::make_unique<StreamPort>(serial_endpoint(std::move(moved))), **writer);
    driver.counts->parity += 1;
    driver.counts->frame += 2;
    driver.counts->overrun += 3;
    driver.counts->buf_overrun += 4;
    driver.counts->brk += 5;
    CHECK(port->line_counters() == LineCounters{1, 2, 7, 5});
    driver.counts.reset();
    CHECK_FALSE(port->line_counters().has_value());
    port->close();
    CHECK_FALSE(port->line_counters().has_value());
  }

  TEST_CASE("a driver that counts nothing says nothing, rather than that all was well") {
    const Pty pty;
    const auto opened = SerialHandle::open(pty.path, kLine);
    REQUIRE_MESSAGE(opened.has_value(), refusal(opened));
    CHECK_FALSE(opened->line_counters().has_value());
  }
}
