#include "protocol/pdu/request.hpp"

#include <array>
#include <numeric>

#include <doctest/doctest.h>

#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::pdu;

namespace {

std::vector<std::uint8_t> octets(const Request& request) {
  return {request.octets().begin(), request.octets().end()};
}

// What the standard's example of that name sends, without address and CRC.
std::vector<std::uint8_t> example(const std::string& id) {
  const auto frame = tests::vectors::modbus_frame(id, true);
  REQUIRE(frame.size() > 3);
  return {frame.begin() + 1, frame.end() - 2};
}

}  // namespace

TEST_SUITE("protocol/pdu/request") {
  TEST_CASE("requests are the standard's examples octet by octet") {
    const std::array<std::uint16_t, 2> words{0x000A, 0x0102};
    CHECK(octets(read_holding_registers(0x6B, 3)) == example("fc03"));
    CHECK(octets(read_input_registers(8, 1)) == example("fc04"));
    CHECK(octets(write_single_coil(0xAC, true)) == example("fc05"));
    CHECK(octets(write_single_register(1, 3)) == example("fc06"));
    CHECK(octets(return_query_data(0xA537)) == example("fc08-00"));
    CHECK(octets(write_multiple_registers(1, words)) == example("fc10"));
    CHECK(octets(read_coils(0x13, 19)) == example("fc01"));
    CHECK(octets(read_discrete_inputs(0xC4, 22)) == example("fc02"));
    CHECK(octets(write_multiple_coils(0x13, 10, std::array<std::uint8_t, 2>{0xCD, 0x01})) == example("fc0f"));
    CHECK(octets(report_server_id()) == example("fc11"));
    CHECK(octets(read_file_records(std::array<FileRecord, 2>{{{4, 1, 2}, {3, 9, 2}}})) == example("fc14"));
    CHECK(octets(mask_write_register(4, 0xF2, 0x25)) == example("fc16"));
    const std::array<std::uint16_t, 3> three{0xFF, 0xFF, 0xFF};
    CHECK(octets(read_write_registers(3, 6, 14, three)) == example("fc17"));
    CHECK(octets(read_fifo_queue(0x04DE)) == example("fc18"));
    CHECK(octets(read_device_identification(ReadDeviceId::kBasic, 0)) == example("fc2b-basic"));
    CHECK(octets(read_device_identification(ReadDeviceId::kIndividual, 0)) == example("fc2b-one"));
  }

  TEST_CASE("the largest requests are the standard's largest") {
    std::array<std::uint16_t, kWriteRegistersMax> words{};
    std::iota(words.begin(), words.end(), std::uint16_t{0});
    CHECK(octets(write_multiple_registers(0, words)) == example("max-fc10"));
    CHECK(octets(read_holding_registers(0, kReadRegistersMax)) == example("max-fc03"));
  }

  TEST_CASE("a request tells what it asks") {
    CHECK(read_holding_registers(0x1234, 7).address() == 0x1234);
    CHECK(read_holding_registers(0x1234, 7).count() == 7);
    CHECK(read_device_identification(ReadDeviceId::kExtended, 0x80).address() == 0x80);
    CHECK(read_device_identification(ReadDeviceId::kExtended, 0x80).count() == 3);
    CHECK(read_input_registers(0, 1).is_read());
    CHECK(read_device_identification(ReadDeviceId::kBasic, 0).is_read());
    CHECK_FALSE(write_single_register(0, 1).is_read());
    CHECK_FALSE(return_query_data(0).is_read());
  }

  TEST_CASE("a coil is off with 0000") {
    CHECK(octets(write_single_coil(1, false))[3] == 0);
  }
}
