#include <array>
#include <cerrno>
#include <csignal>
#include <memory>
#include <string>

#include <doctest/doctest.h>
#include <modbus/modbus.h>

#include "tests/support/run_program.hpp"

namespace {

using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

struct Free {
  void operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
  }
};
using Context = std::unique_ptr<modbus_t, Free>;

Context connect(const std::string& link) {
  Context context{modbus_new_rtu(link.c_str(), 115'200, 'N', 8, 1)};
  REQUIRE(context);
  REQUIRE(modbus_set_slave(context.get(), 1) == 0);
  REQUIRE(modbus_set_response_timeout(context.get(), 2, 0) == 0);
  REQUIRE(modbus_connect(context.get()) == 0);
  return context;
}

}  // namespace

TEST_SUITE("peers/libmodbus") {
  TEST_CASE("a libmodbus client reads a cab display's unit, latches it, and is refused where it must be") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Running unit{{program_path("strapline-sim"),
                  {"cab-display", "--pty", link, "--seed", "0", "--serial", "CAB-0042", "--catalog",
                   source_path("host/catalog")}}};
    REQUIRE(unit.wait_for("ready: "));
    const Context context = connect(link);
    std::array<std::uint16_t, 125> words{};

    // Values: tests/sim/golden/golden_test.cpp.
    REQUIRE(modbus_read_input_registers(context.get(), 0x140, 21, words.data()) == 21);
    CHECK(words[0] == 11'989);
    CHECK(words[7] == 5'000);
    CHECK(words[8] == 4'993);
    CHECK(words[3] == 0xFFFF);  // no current of the supply on this board

    REQUIRE(modbus_read_input_registers(context.get(), 0x1CA, 4, words.data()) == 4);
    CHECK(MODBUS_GET_INT32_FROM_INT16(words.data(), 0) == 71'000);
    CHECK(MODBUS_GET_INT32_FROM_INT16(words.data(), 2) == 59'910);

    // "CAB-0042" in ASCII, two octets a register.
    REQUIRE(modbus_read_input_registers(context.get(), 0x000, 8, words.data()) == 8);
    CHECK(words[0] == 0x4341);
    CHECK(words[1] == 0x422D);
    CHECK(words[2] == 0x3030);
    CHECK(words[3] == 0x3432);
    CHECK(words[4] == 0);

    CHECK(modbus_read_input_registers(context.get(), 0x1000, 10, words.data()) == -1);  // not latched yet
    CHECK(errno == EMBXSFAIL);
    REQUIRE(modbus_write_register(context.get(), 0x0A0, 0x00C5) == 1);
    REQUIRE(modbus_read_input_registers(context.get(), 0x080, 2, words.data()) == 2);
    CHECK(words[0] == 1);
    CHECK(words[1] == 0x00C5);
    REQUIRE(modbus_read_input_registers(context.get(), 0x1000, 120, words.data()) == 120);
    CHECK(words[0] == 0x4341);  // the image begins with the serial number too

    CHECK(modbus_write_register(context.get(), 0x401, 500) == -1);
    CHECK(errno == EMBXSFAIL);
    CHECK(modbus_read_registers(context.get(), 0x140, 1, words.data()) == -1);
    CHECK(errno == EMBXILADD);

    unit.signal(SIGTERM);
    CHECK(unit.finish().exit_code == 143);
  }
}
