// libmodbus asks a simulated unit over TCP, in both framings: Modbus/TCP as it has it, and RTU over TCP by
// lending its RTU end a socket.
#include <array>
#include <cerrno>
#include <csignal>
#include <memory>
#include <string>

#include <arpa/inet.h>
#include <doctest/doctest.h>
#include <modbus/modbus.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include "tests/support/run_program.hpp"

namespace {

using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;

struct Free {
  void operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
  }
};
using Context = std::unique_ptr<modbus_t, Free>;

class Unit {
 public:
  explicit Unit(const std::string& way)
      : unit_{{program_path("strapline-sim"),
               {"cab-display", "--" + way, "127.0.0.1:0", "--seed", "0", "--serial", "CAB-0042", "--catalog",
                source_path("host/catalog")}}} {
    REQUIRE(unit_.wait_for("ready: "));
    const std::string head = "127.0.0.1:";
    const std::size_t at = unit_.err().find(head);
    REQUIRE(at != std::string::npos);
    port = std::stoi(unit_.err().substr(at + head.size()));
  }

  int port = 0;

 private:
  Running unit_;
};

void set_up(modbus_t* context) {
  REQUIRE(context != nullptr);
  REQUIRE(modbus_set_slave(context, 1) == 0);
  REQUIRE(modbus_set_response_timeout(context, 10, 0) == 0);
}

Context over_mbtcp(int port) {
  Context context{modbus_new_tcp("127.0.0.1", port)};
  set_up(context.get());
  REQUIRE(modbus_connect(context.get()) == 0);
  return context;
}

Context rtu_over_tcp(int port) {
  Context context{modbus_new_rtu("/dev/null", 115'200, 'N', 8, 1)};
  set_up(context.get());
  const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  REQUIRE(socket >= 0);
  sockaddr_in place{};
  place.sin_family = AF_INET;
  place.sin_port = htons(static_cast<std::uint16_t>(port));
  place.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  REQUIRE(::connect(socket, reinterpret_cast<const sockaddr*>(&place), sizeof place) == 0);
  REQUIRE(modbus_set_socket(context.get(), socket) == 0);
  return context;
}

// Values: tests/sim/golden/golden_test.cpp.
void reads_as_it_should(modbus_t* context) {
  std::array<std::uint16_t, 125> words{};
  REQUIRE(modbus_read_input_registers(context, 0x140, 21, words.data()) == 21);
  CHECK(words[0] == 11'989);
  CHECK(words[7] == 5'000);
  CHECK(words[8] == 4'993);
  // Bits are views of the registers: bit b of register n is 16 n + b.
  std::array<std::uint8_t, 16> bits{};
  REQUIRE(modbus_read_input_bits(context, 16 * 0x140, 16, bits.data()) == 16);
  unsigned from_bits = 0;
  for (unsigned b = 0; b < 16; ++b) from_bits |= unsigned{bits.at(b)} << b;
  CHECK(from_bits == 11'989);

  CHECK(modbus_read_input_registers(context, 0x1000, 10, words.data()) == -1);  // not latched yet
  CHECK(errno == EMBXSFAIL);
  REQUIRE(modbus_write_register(context, 0x0A0, 0x00C5) == 1);
  REQUIRE(modbus_read_input_registers(context, 0x080, 2, words.data()) == 2);
  CHECK(words[0] == 1);
  CHECK(words[1] == 0x00C5);
  REQUIRE(modbus_read_input_registers(context, 0x1000, 125, words.data()) == 125);
  CHECK(words[0] == 0x4341);  // "CA"

  CHECK(modbus_write_register(context, 0x401, 500) == -1);
  CHECK(errno == EMBXSFAIL);
  CHECK(modbus_read_registers(context, 0x140, 1, words.data()) == -1);
  CHECK(errno == EMBXILADD);
  REQUIRE(modbus_read_input_registers(context, 0x140, 1, words.data()) == 1);
  CHECK(words[0] == 11'989);
}

}  // namespace

TEST_SUITE("peers/libmodbus over TCP") {
  TEST_CASE("a libmodbus client reads, latches and is refused over Modbus/TCP") {
    const Unit unit{"mbtcp"};
    const Context context = over_mbtcp(unit.port);
    reads_as_it_should(context.get());
  }

  TEST_CASE("a libmodbus client reads, latches and is refused with RTU frames over TCP") {
    const Unit unit{"tcp"};
    const Context context = rtu_over_tcp(unit.port);
    reads_as_it_should(context.get());
  }

  TEST_CASE("two libmodbus clients at once each get their own answers over Modbus/TCP") {
    const Unit unit{"mbtcp"};
    const Context one = over_mbtcp(unit.port);
    const Context two = over_mbtcp(unit.port);
    std::array<std::uint16_t, 8> rail{};
    std::array<std::uint16_t, 8> serial{};
    for (int i = 0; i < 50; ++i) {
      REQUIRE(modbus_read_input_registers(one.get(), 0x140, 1, rail.data()) == 1);
      REQUIRE(modbus_read_input_registers(two.get(), 0x000, 1, serial.data()) == 1);
      CHECK(rail[0] == 11'989);
      CHECK(serial[0] == 0x4341);
    }
  }
}
