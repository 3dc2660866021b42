#include "protocol/pdu/response.hpp"

#include <array>
#include <string>
#include <vector>

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
const std::array<std::uint16_t, 3> kThreeWords{0xFF, 0xFF, 0xFF};
const std::array<std::uint8_t, 2> kCoils{0xCD, 0x01};
const std::array<FileRecord, 2> kGroups{{{4, 1, 2}, {3, 9, 2}}};

// A question of the standard's and its answer. `fixed` has a # for each octet of the answer that only the
// very question, or the answer's own length, allows; what stands elsewhere is the unit's to say.
struct Pair {
  const char* id;
  Request request;
  std::string fixed;
  std::vector<std::uint8_t> answer{};
};

const std::vector<Pair>& pairs() {
  static const std::vector<Pair> all = [] {
    const std::string one_object = "###...###";
    std::vector<Pair> made{
        {"fc01", read_coils(0x13, 19), "##"},
        {"fc02", read_discrete_inputs(0xC4, 22), "##"},
        {"fc03", read_holding_registers(0x6B, 3), "##"},
        {"fc04", read_input_registers(8, 1), "##"},
        {"fc05", write_single_coil(0xAC, true), "#####"},
        {"fc06", write_single_register(1, 3), "#####"},
        {"fc08-00", return_query_data(0xA537), "#####"},
        {"fc08-01", diagnose(0x01), "#####"},
        {"fc08-01-clear", diagnose(0x01, 0xFF00), "#####"},
        {"fc08-02", diagnose(0x02), "###"},
        {"fc08-0a", diagnose(0x0A), "#####"},
        {"fc08-0b", diagnose(0x0B), "###"},
        {"fc08-0c", diagnose(0x0C), "###"},
        {"fc08-0e", diagnose(0x0E), "###"},
        {"fc08-0f", diagnose(0x0F), "###"},
        {"fc08-12", diagnose(0x12), "###"},
        {"fc0f", write_multiple_coils(0x13, 10, kCoils), "#####"},
        {"fc10", write_multiple_registers(1, kWords), "#####"},
        {"fc11", report_server_id(), "##"},
        {"fc14", read_file_records(kGroups), "####....##"},
        {"fc16", mask_write_register(4, 0xF2, 0x25), "#######"},
        {"fc17", read_write_registers(3, 6, 14, kThreeWords), "##"},
        {"fc18", read_fifo_queue(0x04DE), "#####"},
        {"fc2b-basic", read_device_identification(ReadDeviceId::kBasic, 0),
         one_object + std::string(22, '.') + ".#" + std::string(15, '.') + ".#"},
        {"fc2b-second", read_device_identification(ReadDeviceId::kBasic, 2), one_object},
        {"fc2b-one", read_device_identification(ReadDeviceId::kIndividual, 0), one_object},
    };
    for (Pair& pair : made) pair.answer = example(pair.id);
    return made;
  }();
  return all;
}

}  // namespace

TEST_SUITE("protocol/pdu/response") {
  TEST_CASE("the standard's answers answer the standard's requests, and no others") {
    for (const Pair& asked : pairs()) {
      for (const Pair& answered : pairs()) {
        CAPTURE(asked.id);
        CAPTURE(answered.id);
        const bool same = &asked == &answered;
        CHECK((match(asked.request, answered.answer) == Match::kAnswer) == same);
      }
    }
  }

  TEST_CASE("an answer that breaks off anywhere, or is one octet long, does not fit") {
    for (const Pair& pair : pairs()) {
      CAPTURE(pair.id);
      auto longer = pair.answer;
      longer.push_back(0);
      CHECK(match(pair.request, longer) == Match::kShape);
      for (std::size_t size = 1; size < pair.answer.size(); ++size) {
        CAPTURE(size);
        CHECK(match(pair.request, protocol::base::Octets{pair.answer}.first(size)) == Match::kShape);
      }
    }
  }

  // Of each octet, every other value.
  TEST_CASE("an answer fits with what the request fixes as it is, and with anything in its data") {
    for (const Pair& pair : pairs()) {
      CAPTURE(pair.id);
      REQUIRE(pair.fixed.size() <= pair.answer.size());
      for (std::size_t at = 0; at < pair.answer.size(); ++at) {
        CAPTURE(at);
        const bool fixed = at < pair.fixed.size() && pair.fixed[at] == '#';
        auto other = pair.answer;
        int fitting = 0;
        for (int value = 0; value < 256; ++value) {
          other[at] = static_cast<std::uint8_t>(value);
          fitting += match(pair.request, other) == Match::kAnswer ? 1 : 0;
        }
        CHECK(fitting == (fixed ? 1 : 256));
      }
    }
  }

  TEST_CASE("the answer to another count, address, value or object does not fit") {
    CHECK(match(read_holding_registers(0x6B, 2), example("fc03")) == Match::kShape);
    CHECK(match(write_single_coil(0xAD, true), example("fc05")) == Match::kShape);
    CHECK(match(write_single_register(1, 4), example("fc06")) == Match::kShape);
    CHECK(match(return_query_data(0xA536), example("fc08-00")) == Match::kShape);
    CHECK(match(write_multiple_registers(2, kWords), example("fc10")) == Match::kShape);
    const std::array<FileRecord, 2> other_groups{{{4, 1, 1}, {3, 9, 3}}};
    CHECK(match(read_coils(0x13, 16), example("fc01")) == Match::kShape);
    CHECK(match(read_discrete_inputs(0xC4, 25), example("fc02")) == Match::kShape);
    CHECK(match(write_multiple_coils(0x13, 9, kCoils), example("fc0f")) == Match::kShape);
    CHECK(match(read_file_records(other_groups), example("fc14")) == Match::kShape);
    CHECK(match(mask_write_register(4, 0xF2, 0x24), example("fc16")) == Match::kShape);
    CHECK(match(read_write_registers(3, 5, 14, kThreeWords), example("fc17")) == Match::kShape);
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
}
