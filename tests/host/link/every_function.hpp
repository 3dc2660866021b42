#pragma once

#include <cstdint>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"

/// Asks a KnownDevice every function of the protocol through `session`, whose writes are not limited, and
/// holds each answer to what the device is known to hold. Function 08 is the serial line's alone.
inline void ask_every_function(host::link::Session& session, bool serial) {
  using namespace host::link;
  namespace pdu = protocol::pdu;
  using Words = std::vector<std::uint16_t>;
  const auto words_of = [](const Result<pdu::Response>& answer) {
    Words words;
    REQUIRE_MESSAGE(answer.has_value(), (answer ? "" : answer.error().message));
    for (std::uint16_t i = 0; i < answer->word_count(); ++i) words.push_back(answer->word(i));
    return words;
  };
  const auto octets_of = [](const Result<pdu::Response>& answer) {
    REQUIRE_MESSAGE(answer.has_value(), (answer ? "" : answer.error().message));
    const auto octets = answer->octets();
    return std::vector<std::uint8_t>(octets.begin(), octets.end());
  };
  CHECK(session.write(20, Words{0x0012}).has_value());                           // 06
  CHECK(session.write(21, Words{0x1234, 0x5678}).has_value());                   // 10
  CHECK(session.read(Table::kHolding, 20, 3) == Words{0x0012, 0x1234, 0x5678});  // 03
  CHECK(session.read(Table::kInput, 0x0777, 2) == Words{0x0777, 0x0778});        // 04
  CHECK(session.ask(pdu::mask_write_register(20, 0x00F2, 0x0025)).has_value());  // 16, the standard's words
  CHECK(session.read(Table::kHolding, 20, 1) == Words{0x0017});                  // its result
  CHECK(words_of(session.ask(pdu::read_write_registers(20, 2, 21, Words{0xBEEF}))) ==
        Words{0x0017, 0xBEEF});                                                // 17 writes first
  CHECK(session.ask(pdu::write_single_coil(20 * 16 + 15, true)).has_value());  // 05
  CHECK(session.ask(pdu::write_multiple_coils(20 * 16 + 3, 2, std::vector<std::uint8_t>{0x03})).has_value());
  CHECK(session.read(Table::kHolding, 20, 1) == Words{0x801F});  // 0F set two bits
  CHECK(session.read_bits(BitTable::kCoils, 20 * 16, 6) ==
        std::vector<bool>{true, true, true, true, true, false});  // 01
  CHECK(session.read_bits(BitTable::kDiscretes, 5 * 16, 4) ==
        std::vector<bool>{true, false, true, false});  // 02: input register 5 is 5
  CHECK(octets_of(session.ask(pdu::report_server_id())) ==
        std::vector<std::uint8_t>{0x11, 0x03, 0x2A, 0xFF, 'k'});                                      // 11
  CHECK(session.read_files(std::vector<pdu::FileRecord>{{4, 7, 2}, {5, 0, 1}}) == Words{11, 12, 5});  // 14
  CHECK(octets_of(session.ask(pdu::read_fifo_queue(0x0040))) ==
        std::vector<std::uint8_t>{0x18, 0x00, 0x08, 0x00, 0x03, 0x02, 0xBC, 0x02, 0xBD, 0x02, 0xBE});
  CHECK(session.identify().has_value());  // 2B
  if (!serial) return;
  CHECK(octets_of(session.ask(pdu::return_query_data(0xA537))) ==
        std::vector<std::uint8_t>{0x08, 0x00, 0x00, 0xA5, 0x37});
  CHECK(session.ask(pdu::diagnose(0x0A)).has_value());  // counters cleared
  const auto count = octets_of(session.ask(pdu::diagnose(0x0E)));
  REQUIRE(count.size() == 5);
  CHECK(count[4] >= 1);  // messages of this unit since
  CHECK(count[4] <= 4);
  // A broadcast is done, and answered by none.
  const std::uint32_t before = session.statistics().counts.timeouts;
  CHECK(session.broadcast(pdu::write_single_register(30, 0x0B0C)).has_value());
  CHECK(session.read(Table::kHolding, 30, 1) == Words{0x0B0C});
  CHECK(session.statistics().counts.timeouts == before);
}
