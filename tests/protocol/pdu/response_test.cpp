#include "protocol/pdu/response.hpp"

#include <array>
#include <string>

#include <doctest/doctest.h>

#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::pdu;

namespace {

std::vector<std::uint8_t> example(const std::string& id) {
  const auto frame = tests::vectors::modbus_frame(id, false);
  REQUIRE(frame.size() > 3);
  return {frame.begin() + 1, frame.end() - 2};
}

const std::array<std::uint16_t, 2> kWords{0x000A, 0x0102};

struct Pair {
  const char* id;
  Request request;
};
const std::array<Pair, 8> kPairs{{{"fc03", read_holding_registers(0x6B, 3)},
                                  {"fc04", read_input_registers(8, 1)},
                                  {"fc05", write_single_coil(0xAC, true)},
                                  {"fc06", write_single_register(1, 3)},
                                  {"fc08-00", return_query_data(0xA537)},
                                  {"fc10", write_multiple_registers(1, kWords)},
                                  {"fc2b-basic", read_device_identification(ReadDeviceId::kBasic, 0)},
                                  {"fc2b-one", read_device_identification(ReadDeviceId::kIndividual, 0)}}};

}  // namespace

TEST_SUITE("protocol/pdu/response") {
  TEST_CASE("the standard's answers answer the standard's requests, and no others") {
    for (const Pair& asked : kPairs) {
      for (const Pair& answered : kPairs) {
        CAPTURE(asked.id);
        CAPTURE(answered.id);
        const bool same = &asked == &answered;
        CHECK((match(asked.request, example(answered.id)) == Match::kAnswer) == same);
      }
    }
  }

  TEST_CASE("an answer that is one octet short or long does not fit") {
    for (const Pair& pair : kPairs) {
      CAPTURE(pair.id);
      auto pdu = example(pair.id);
      pdu.push_back(0);
      CHECK(match(pair.request, pdu) == Match::kShape);
      pdu.resize(pdu.size() - 2);
      CHECK(match(pair.request, pdu) == Match::kShape);
    }
  }

  TEST_CASE("the answer to another count, address, value or object does not fit") {
    CHECK(match(read_holding_registers(0x6B, 2), example("fc03")) == Match::kShape);
    CHECK(match(write_single_coil(0xAD, true), example("fc05")) == Match::kShape);
    CHECK(match(write_single_register(1, 4), example("fc06")) == Match::kShape);
    CHECK(match(return_query_data(0xA536), example("fc08-00")) == Match::kShape);
    CHECK(match(write_multiple_registers(2, kWords), example("fc10")) == Match::kShape);
    CHECK(match(read_device_identification(ReadDeviceId::kIndividual, 1), example("fc2b-one")) ==
          Match::kShape);
    CHECK(match(read_device_identification(ReadDeviceId::kBasic, 2), example("fc2b-first")) == Match::kShape);
    CHECK(match(read_device_identification(ReadDeviceId::kRegular, 0), example("fc2b-basic")) ==
          Match::kShape);
  }

  TEST_CASE("another function does not fit, and a refusal belongs to its function") {
    const Request read = read_holding_registers(0x60, 5);
    CHECK(match(read, example("ex-fc03-02")) == Match::kException);
    CHECK(match(read_input_registers(0x60, 5), example("ex-fc03-02")) == Match::kFunction);
    CHECK(match(read, example("fc04")) == Match::kFunction);
    CHECK(match(read, {}) == Match::kFunction);
    CHECK(match(read, std::array<std::uint8_t, 3>{0x83, 2, 0}) == Match::kShape);
  }

  TEST_CASE("words come high octet first") {
    const Response response{example("fc03")};
    REQUIRE(response.word_count() == 3);
    CHECK(response.word(0) == 555);
    CHECK(response.word(1) == 0);
    CHECK(response.word(2) == 100);
    CHECK(Response{example("fc06")}.word_count() == 0);
    CHECK(Response{}.word_count() == 0);
    CHECK(Response{example("max-fc03")}.word(124) == 124);
  }

  // The standard's own example: CDh is coils 27 to 20, 6Bh 35 to 28, 05h 38 to 36.
  TEST_CASE("bits come lowest first, and none stands past the end or in another answer") {
    const Response coils{example("fc01")};
    const std::string from_20_to_38 = "1011001111010110101";
    for (std::size_t i = 0; i < from_20_to_38.size(); ++i) {
      CAPTURE(i);
      CHECK(coils.bit(static_cast<std::uint16_t>(i)) == (from_20_to_38[i] == '1'));
    }
    for (const std::uint16_t past : {std::uint16_t{19}, std::uint16_t{24}, std::uint16_t{0xFFFF}}) {
      CHECK_FALSE(coils.bit(past));
    }
    CHECK(Response{example("fc02")}.bit(2));
    CHECK_FALSE(Response{example("fc03")}.bit(1));
    CHECK_FALSE(Response{}.bit(0));
  }

  TEST_CASE("bits, files, masks and queues match their own request and no neighbour of it") {
    const auto pdu = [](const char* id) {
      const auto frame = tests::vectors::modbus_frame(id, false);
      return std::vector<std::uint8_t>{frame.begin() + 1, frame.end() - 2};
    };
    const std::array<std::uint16_t, 3> three{0xFF, 0xFF, 0xFF};
    const std::array<FileRecord, 2> groups{{{4, 1, 2}, {3, 9, 2}}};
    const std::array<FileRecord, 2> other_groups{{{4, 1, 1}, {3, 9, 3}}};
    CHECK(match(read_coils(0x13, 19), pdu("fc01")) == Match::kAnswer);
    CHECK(match(read_coils(0x13, 16), pdu("fc01")) == Match::kShape);
    CHECK(match(read_discrete_inputs(0xC4, 22), pdu("fc02")) == Match::kAnswer);
    CHECK(match(write_multiple_coils(0x13, 10, std::array<std::uint8_t, 2>{0xCD, 1}), pdu("fc0f")) ==
          Match::kAnswer);
    CHECK(match(write_multiple_coils(0x13, 9, std::array<std::uint8_t, 2>{0xCD, 1}), pdu("fc0f")) ==
          Match::kShape);
    CHECK(match(report_server_id(), pdu("fc11")) == Match::kAnswer);
    CHECK(match(read_file_records(groups), pdu("fc14")) == Match::kAnswer);
    CHECK(match(read_file_records(other_groups), pdu("fc14")) == Match::kShape);
    CHECK(match(mask_write_register(4, 0xF2, 0x25), pdu("fc16")) == Match::kAnswer);
    CHECK(match(mask_write_register(4, 0xF2, 0x24), pdu("fc16")) == Match::kShape);
    CHECK(match(read_write_registers(3, 6, 14, three), pdu("fc17")) == Match::kAnswer);
    CHECK(match(read_write_registers(3, 5, 14, three), pdu("fc17")) == Match::kShape);
    CHECK(match(read_fifo_queue(0x04DE), pdu("fc18")) == Match::kAnswer);
    // Every truncation is another shape.
    for (const char* id : {"fc14", "fc18"}) {
      const auto whole = pdu(id);
      for (std::size_t size = 1; size < whole.size(); ++size) {
        CAPTURE(size);
        const auto cut = protocol::base::Octets{whole}.first(size);
        const Request request = whole[0] == 0x14 ? read_file_records(groups) : read_fifo_queue(0x04DE);
        CHECK(match(request, cut) == Match::kShape);
      }
    }
  }
}
