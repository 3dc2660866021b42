#include "sim/unit/registers.hpp"

#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/session/answer.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using sim::unit::Registers;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::live;

namespace {

using Pdu = std::vector<std::uint8_t>;

Pdu ask(Registers& registers, const Pdu& request) {
  const protocol::session::Answer answer = protocol::session::answer(request, registers);
  const auto octets = answer.octets();
  return {octets.begin(), octets.end()};
}

}  // namespace

TEST_SUITE("sim/unit/registers") {
  TEST_CASE("unused addresses of a block read 0, and a read may begin and end inside a point") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    Registers registers{unit};
    // straps.strap_14, strap_15, then two unused addresses of the block.
    CHECK(ask(registers, {0x04, 0x01, 0x0E, 0x00, 0x04}) ==
          Pdu{0x04, 0x08, 0xFF, 0xFF, 0xFF, 0xFF, 0x00, 0x00, 0x00, 0x00});
    // The low word of input.pixel_clock_khz, 71000 = 0001 1558h, and the high word of the refresh behind it.
    CHECK(ask(registers, {0x04, 0x01, 0xCB, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x15, 0x58, 0x00, 0x00});
    // The block of power ends at 00FFh, that of straps begins at 0100h: both are there, so the read may
    // cross.
    CHECK(ask(registers, {0x04, 0x00, 0xFF, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x00, 0x00, 0x00, 0x02});
  }

  TEST_CASE("what is in no block is an illegal address, in each table by itself") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    CHECK(ask(registers, {0x04, 0x0F, 0x00, 0x00, 0x01}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x04, 0xFF, 0xFF, 0x00, 0x02}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x04, 0x04, 0x00, 0x00, 0x01}) ==
          Pdu{0x84, 0x02});  // settings are holding registers
    CHECK(ask(registers, {0x03, 0x01, 0x40, 0x00, 0x01}) == Pdu{0x83, 0x02});  // rails are input registers
    // One register too far: 03BFh is the last of the log's block.
    CHECK(ask(registers, {0x04, 0x03, 0xBF, 0x00, 0x01}) == Pdu{0x04, 0x02, 0x00, 0x00});
    CHECK(ask(registers, {0x04, 0x03, 0xBF, 0x00, 0x02}) == Pdu{0x84, 0x02});
  }

  TEST_CASE("settings and stamp are read, and refuse to be written without arming") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    Registers registers{unit};
    CHECK(ask(registers, {0x03, 0x04, 0x01, 0x00, 0x01}) == Pdu{0x03, 0x02, 0x03, 0x20});  // 800 permille
    CHECK(ask(registers, {0x06, 0x04, 0x01, 0x01, 0xF4}) == Pdu{0x86, 0x04});
    CHECK(ask(registers, {0x10, 0x00, 0x40, 0x00, 0x01, 0x02, 0x41, 0x42}) == Pdu{0x90, 0x04});
    CHECK(ask(registers, {0x03, 0x04, 0x01, 0x00, 0x01}) == Pdu{0x03, 0x02, 0x03, 0x20});
    CHECK(ask(registers, {0x06, 0x04, 0x06, 0x00, 0x00}) == Pdu{0x86, 0x02});  // unused
    CHECK(ask(registers, {0x05, 0x00, 0x00, 0xFF, 0x00}) == Pdu{0x85, 0x02});  // no coils
  }

  TEST_CASE("identification carries profile, feature bits, layout CRC and board") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    const auto object = [&registers](std::uint8_t id) {
      const Pdu answer = ask(registers, {0x2B, 0x0E, 0x04, id});
      return answer.size() > 9 ? std::string{answer.begin() + 9, answer.end()} : std::string{};
    };
    CHECK(object(0x01) == "elm");
    CHECK(object(0x80) == "strapline");
    CHECK(object(0x81) == "1.0");
    CHECK(object(0x82) == "0000");
    CHECK(object(0x83) == "0D04");  // tests/protocol/points/frozen_test.cpp
    CHECK(object(0x84) == "elm");
    CHECK(ask(registers, {0x2B, 0x0E, 0x04, 0x85}) == Pdu{0xAB, 0x02});
    CHECK(ask(registers, {0x2B, 0x0E, 0x04, 0x03}) == Pdu{0xAB, 0x02});
  }

  TEST_CASE("the layout CRC is that of the layouts' octets, by another arithmetic") {
    // Polynomial 8005h over the octets, each turned round, from FFFFh, the result turned round: what the
    // reflected form computes. Source  MODBUS over Serial Line V1.02, 6.2.2.
    unsigned crc = 0xFFFF;
    for (const auto& layout : protocol::points::layouts()) {
      for (const std::uint8_t octet : protocol::points::octets(layout)) {
        for (unsigned bit = 0; bit < 8; ++bit) {
          const unsigned in = (octet >> bit) & 1U;
          const unsigned out = (crc >> 15) & 1U;
          crc = ((crc << 1) & 0xFFFFU) ^ (in != out ? 0x8005U : 0U);
        }
      }
    }
    unsigned turned = 0;
    for (unsigned bit = 0; bit < 16; ++bit) turned |= ((crc >> bit) & 1U) << (15 - bit);
    CHECK(sim::unit::layout_crc(protocol::points::kProfileMinor) == turned);
  }
}
