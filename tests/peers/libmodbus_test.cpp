// libmodbus as the client. Addresses are written out here, not taken from the table the simulator uses:
// both would follow a mistake in it.

#include <array>
#include <cerrno>
#include <memory>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <modbus.h>
#include <poll.h>
#include <unistd.h>

#include "unit.hpp"

namespace {

constexpr int kSerial = 0x000;    // input, 8 registers of text
constexpr int kPanelOut = 0x148;  // input, mV
constexpr int kLatch = 0x0A0;     // holding
constexpr int kOwner = 0x081;     // input
constexpr int kImage = 0x1000;    // input, begins with the serial number
constexpr int kNowhere = 0xF000;

struct Close {
  void operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
  }
};
using Context = std::unique_ptr<modbus_t, Close>;

Context connect(const tests::peers::Unit& unit) {
  Context context{modbus_new_rtu(unit.link().c_str(), 115200, 'N', 8, 1)};
  REQUIRE(context != nullptr);
  REQUIRE(modbus_set_slave(context.get(), tests::peers::Unit::kAddress) == 0);
  REQUIRE(modbus_set_response_timeout(context.get(), 2, 0) == 0);
  REQUIRE(modbus_connect(context.get()) == 0);
  return context;
}

std::string text(const std::uint16_t* words, std::size_t count) {
  std::string text;
  for (std::size_t i = 0; i < count; ++i) {
    text += static_cast<char>(words[i] >> 8);
    text += static_cast<char>(words[i] & 0xFF);
  }
  return text.c_str();  // ends at the first 0, if there is one
}

// Sends a request without its CRC, which libmodbus adds, and reads at least `size` octets, or what comes
// in two seconds.
std::vector<std::uint8_t> exchange(const Context& context, const std::vector<std::uint8_t>& request,
                                   std::size_t size) {
  REQUIRE(modbus_send_raw_request(context.get(), request.data(), static_cast<int>(request.size())) > 0);
  std::vector<std::uint8_t> answer;
  pollfd wish{modbus_get_socket(context.get()), POLLIN, 0};
  while (answer.size() < size && ::poll(&wish, 1, 2000) == 1) {
    std::array<std::uint8_t, 256> octets{};
    const ssize_t count = ::read(wish.fd, octets.data(), octets.size());
    if (count <= 0) break;
    answer.insert(answer.end(), octets.begin(), octets.begin() + count);
  }
  return answer;
}

}  // namespace

TEST_SUITE("peers/libmodbus") {
  TEST_CASE("libmodbus reads the points of a unit") {
    const tests::peers::Unit unit;
    const Context context = connect(unit);
    std::array<std::uint16_t, 8> serial{};
    REQUIRE(modbus_read_input_registers(context.get(), kSerial, 8, serial.data()) == 8);
    CHECK(text(serial.data(), serial.size()).find(tests::peers::Unit::kSerial) == 0);
    std::uint16_t panel_mv = 0;
    REQUIRE(modbus_read_input_registers(context.get(), kPanelOut, 1, &panel_mv) == 1);
    CHECK(panel_mv >= 3135);  // 3.3 V, 5 %
    CHECK(panel_mv <= 3465);
  }

  TEST_CASE("libmodbus latches a snapshot and reads it in one image") {
    const tests::peers::Unit unit;
    const Context context = connect(unit);
    REQUIRE(modbus_write_register(context.get(), kLatch, 0x1234) == 1);
    std::uint16_t owner = 0;
    REQUIRE(modbus_read_input_registers(context.get(), kOwner, 1, &owner) == 1);
    CHECK(owner == 0x1234);
    std::array<std::uint16_t, 125> image{};
    REQUIRE(modbus_read_input_registers(context.get(), kImage, 125, image.data()) == 125);
    CHECK(text(image.data(), 8).find(tests::peers::Unit::kSerial) == 0);
  }

  TEST_CASE("libmodbus gets exception 02 where nothing is, and can go on") {
    const tests::peers::Unit unit;
    const Context context = connect(unit);
    std::uint16_t word = 0;
    CHECK(modbus_read_input_registers(context.get(), kNowhere, 1, &word) == -1);
    CHECK(errno == EMBXILADD);
    CHECK(modbus_read_input_registers(context.get(), kPanelOut, 1, &word) == 1);
  }

  // libmodbus can frame these requests but not their answers, so the answers are read as octets.
  TEST_CASE("libmodbus's frames of 08/00 and 2B/0E are answered as the standard shows") {
    const tests::peers::Unit unit;
    const Context context = connect(unit);
    // MODBUS Application Protocol V1.1b3, 6.8.2, at address 17.
    CHECK(exchange(context, {17, 0x08, 0, 0, 0xA5, 0x37}, 8) ==
          std::vector<std::uint8_t>{0x11, 0x08, 0x00, 0x00, 0xA5, 0x37, 0xD8, 0x1D});
    // One object, conformity 83h, nothing follows.
    const auto object = exchange(context, {17, 0x2B, 0x0E, 4, 0}, 12);
    REQUIRE(object.size() > 12);
    CHECK(object.size() == 12U + object[9]);
    CHECK(std::vector<std::uint8_t>{object.begin(), object.begin() + 9} ==
          std::vector<std::uint8_t>{0x11, 0x2B, 0x0E, 0x04, 0x83, 0x00, 0x00, 0x01, 0x00});
  }
}
