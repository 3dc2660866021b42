#include "sim/unit/foreign_registers.hpp"

#include <array>
#include <vector>

#include <doctest/doctest.h>

#include "host/model/catalogue.hpp"
#include "protocol/session/answer.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/strap_search.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/support/run_program.hpp"

namespace model = host::model;
using protocol::base::milliseconds;
using protocol::points::Point;
using sim::unit::ForeignRegisters;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::live;

namespace {

using Pdu = std::vector<std::uint8_t>;

Pdu ask(ForeignRegisters& registers, const Pdu& request) {
  std::array<std::uint8_t, protocol::session::kAnswerRoom> room{};
  std::copy(request.begin(), request.end(), room.begin());
  const std::size_t size = registers.answer(room, request.size());
  REQUIRE(size <= room.size());
  return {room.begin(), room.begin() + static_cast<std::ptrdiff_t>(size)};
}

// A unit of nominal parts that reads exactly, as built.
sim::unit::UnitSetup wall_setup() {
  auto kit = model::load_kit("control-wall", {tests::support::source_path("host/catalog")});
  REQUIRE(kit.has_value());
  return {*kit,
          sim::unit::healthy_positions(*kit).positions,
          sim::unit::settings_of(*kit),
          sim::unit::wanted_timing(*kit),
          "4310482",
          0};
}

// Two ranges of holding registers that touch, points that no file names a range for, and a coil.
sim::unit::UnitSetup scattered_setup() {
  sim::unit::UnitSetup setup = elm_setup();
  model::Board& board = setup.kit.board;
  board.profile = model::WireProfile::kOwn;
  board.wire.diagnostics = true;
  board.wire.identification = true;
  board.wire.product = "quad-7";
  board.wire.registers_max = 10;
  board.wire.readable = {{model::RegisterTable::kHolding, 0xFFF0, 8},
                         {model::RegisterTable::kHolding, 0xFFF8, 8}};
  board.registers = {
      {Point::kSettingsBrightnessPermille, model::RegisterTable::kHolding, 0xFFF7},
      {Point::kInputPixelClockKhz, model::RegisterTable::kHolding, 0xFFFE, model::RegisterType::kU32},
      {Point::kInputHActive, model::RegisterTable::kInputs, 7},
      {Point::kInputVActive, model::RegisterTable::kInputs, 8},
      {Point::kInputLocked, model::RegisterTable::kCoils, 19, model::RegisterType::kBit}};
  return setup;
}

}  // namespace

TEST_SUITE("sim/unit/foreign_registers") {
  // Worked with a pencil from the data sheets' figures in host/catalog and the equations of sim/README.md.
  TEST_CASE("control-wall answers the words that its figures give, where its board's file says") {
    Unit unit{wall_setup()};
    unit.advance(unit.now() + milliseconds(10'000));
    ForeignRegisters registers{unit};

    // Serial number 4310482 = 0041 C5D2h, low word first; firmware "0.1.0", NUL after it in four
    // registers; two without a point; 9 s up, in tenths.
    CHECK(ask(registers, {0x04, 0x00, 0x00, 0x00, 0x0A}) ==
          Pdu{0x04, 0x14, 0xC5, 0xD2, 0x00, 0x41, 0x30, 0x2E, 0x31, 0x2E, 0x30,
              0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x5A, 0x00, 0x00});

    // Rails in 10 mV. Panel: (850 + 740) / 2 = 795 mA, x 25 mOhm = 20 mV: 11980. Light, passed through: duty
    // 6 + 0.8 x 94 = 81.2 %; 44 W x 0.812 = 35.728 W; / 23.9289 V = 1.4931 A, 37 mV. Supply: 12 V x 0.795 A /
    // 0.89 + 23.966 V x 1.4931 A + 7.5 W = 54.00 W; (24 + sqrt(24^2 - 0.06 x 54.00)) / 2 = 23.966 V; the
    // light 23.929 V.
    CHECK(ask(registers, {0x04, 0x00, 0x10, 0x00, 0x06}) ==
          Pdu{0x04, 0x0C, 0x09, 0x5D, 0x01, 0x4A, 0x04, 0xB0, 0x04, 0xAE, 0x03, 0x1B, 0x09, 0x59});

    // Enable 5000 mV in fives; 240.00 Hz = 24000, low word first; 812.0 permille.
    CHECK(ask(registers, {0x04, 0x00, 0x28, 0x00, 0x04}) ==
          Pdu{0x04, 0x08, 0x03, 0xE8, 0x5D, 0xC0, 0x00, 0x00, 0x1F, 0xB8});

    // BR1 2-3 (12 V) = bit 1; S1 1010 (2560 x 1440 of 30 bits, vesa-30) = ways 1 and 3.
    CHECK(ask(registers, {0x04, 0x00, 0x40, 0x00, 0x03}) ==
          Pdu{0x04, 0x06, 0x00, 0x02, 0x00, 0x05, 0x00, 0x00});

    // 2560, 1440, totals 2720 and 1481, 241.5 MHz in 10 kHz.
    CHECK(ask(registers, {0x04, 0x00, 0x60, 0x00, 0x05}) ==
          Pdu{0x04, 0x0A, 0x0A, 0x00, 0x05, 0xA0, 0x0A, 0xA0, 0x05, 0xC9, 0x5E, 0x56});

    // Locked and the panel's link locked: discrete inputs 3 and 4, of eight from 0 and of nine from 3.
    CHECK(ask(registers, {0x02, 0x00, 0x00, 0x00, 0x08}) == Pdu{0x02, 0x01, 0x18});
    CHECK(ask(registers, {0x02, 0x00, 0x03, 0x00, 0x09}) == Pdu{0x02, 0x02, 0x03, 0x00});

    // Brightness 80 %, in tens of permille.
    CHECK(ask(registers, {0x03, 0x00, 0xC8, 0x00, 0x02}) == Pdu{0x03, 0x04, 0x00, 0x50, 0x00, 0x00});
  }

  TEST_CASE("a read may begin and end inside a value, and in the middle of nothing") {
    Unit unit{wall_setup()};
    unit.advance(unit.now() + milliseconds(10'000));
    ForeignRegisters registers{unit};
    CHECK(ask(registers, {0x04, 0x00, 0x01, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x00, 0x41, 0x30, 0x2E});
    CHECK(ask(registers, {0x04, 0x00, 0x7E, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x00, 0x00, 0x00, 0x00});
  }

  TEST_CASE("an address that can't be read is exception 02, at each edge of each range") {
    Unit unit{wall_setup()};
    ForeignRegisters registers{unit};
    CHECK(ask(registers, {0x04, 0x00, 0x7F, 0x00, 0x01}).size() == 4);
    CHECK(ask(registers, {0x04, 0x00, 0x7F, 0x00, 0x02}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x04, 0x00, 0x80, 0x00, 0x01}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x03, 0x00, 0xC7, 0x00, 0x01}) == Pdu{0x83, 0x02});
    CHECK(ask(registers, {0x03, 0x00, 0xCF, 0x00, 0x02}) == Pdu{0x83, 0x02});
    CHECK(ask(registers, {0x02, 0x00, 0x0F, 0x00, 0x02}) == Pdu{0x82, 0x02});
    CHECK(ask(registers, {0x04, 0xFF, 0xFF, 0x00, 0x02}) == Pdu{0x84, 0x02});
  }

  TEST_CASE("more at once than the board gives is exception 03, before the address is looked at") {
    Unit unit{wall_setup()};
    ForeignRegisters registers{unit};
    CHECK(ask(registers, {0x04, 0x00, 0x00, 0x00, 0x64}).size() == 202);
    CHECK(ask(registers, {0x04, 0x00, 0x00, 0x00, 0x65}) == Pdu{0x84, 0x03});
    CHECK(ask(registers, {0x04, 0x00, 0x00, 0x00, 0x00}) == Pdu{0x84, 0x03});
    CHECK(ask(registers, {0x04, 0x40, 0x00, 0xFF, 0xFF}) == Pdu{0x84, 0x03});
    CHECK(ask(registers, {0x02, 0x00, 0x00, 0x07, 0xD0}) == Pdu{0x82, 0x02});  // 2000 bits are a quantity
    CHECK(ask(registers, {0x02, 0x00, 0x00, 0x07, 0xD1}) == Pdu{0x82, 0x03});
    CHECK(ask(registers, {0x02, 0x00, 0x00, 0x00, 0x00}) == Pdu{0x82, 0x03});
    CHECK(ask(registers, {0x04, 0x00, 0x00, 0x00}) == Pdu{0x84, 0x03});
    CHECK(ask(registers, {0x04}) == Pdu{0x84, 0x03});
  }

  TEST_CASE(
      "what the board hasn't is exception 01: writes, a table of no range, 08 and 2B where its file says so") {
    Unit unit{wall_setup()};
    ForeignRegisters registers{unit};
    CHECK_FALSE(registers.has_diagnostics());
    for (int function = 0; function < 0x80; ++function) {
      if (function >= 0x02 && function <= 0x04) continue;
      CAPTURE(function);
      const auto code = static_cast<std::uint8_t>(function);
      CHECK(ask(registers, {code, 0x00, 0xC8, 0x00, 0x01, 0x02, 0x00, 0x32}) ==
            Pdu{static_cast<std::uint8_t>(code | 0x80U), 0x01});
    }
    CHECK(ask(registers, {0x03, 0x00, 0xC8, 0x00, 0x01}) == Pdu{0x03, 0x02, 0x00, 0x50});
  }

  TEST_CASE(
      "ranges that touch are read as one, up to the last address; a table without any where its points are") {
    Unit unit{scattered_setup()};
    live(unit, milliseconds(10'000));
    ForeignRegisters registers{unit};
    // Brightness, by the kit's settings; then nothing. 71000 kHz = 0001 1558h, high word first.
    const Pdu brightness = ask(registers, {0x03, 0xFF, 0xF7, 0x00, 0x02});
    CHECK(brightness.size() == 6);
    CHECK((brightness[2] << 8 | brightness[3]) != 0);
    CHECK((brightness[4] << 8 | brightness[5]) == 0);
    CHECK(ask(registers, {0x03, 0xFF, 0xFE, 0x00, 0x02}) == Pdu{0x03, 0x04, 0x00, 0x01, 0x15, 0x58});
    CHECK(ask(registers, {0x03, 0xFF, 0xFF, 0x00, 0x02}) == Pdu{0x83, 0x02});
    CHECK(ask(registers, {0x03, 0xFF, 0xF0, 0x00, 0x0A}).size() == 22);
    CHECK(ask(registers, {0x03, 0xFF, 0xF0, 0x00, 0x0B}) == Pdu{0x83, 0x03});
    // 1280 x 800, in two registers that stand alone.
    CHECK(ask(registers, {0x04, 0x00, 0x07, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x05, 0x00, 0x03, 0x20});
    CHECK(ask(registers, {0x04, 0x00, 0x06, 0x00, 0x02}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x04, 0x00, 0x08, 0x00, 0x02}) == Pdu{0x84, 0x02});
    CHECK(ask(registers, {0x01, 0x00, 0x13, 0x00, 0x01}) == Pdu{0x01, 0x01, 0x01});
    CHECK(ask(registers, {0x01, 0x00, 0x12, 0x00, 0x02}) == Pdu{0x81, 0x02});
    CHECK(ask(registers, {0x02, 0x00, 0x13, 0x00, 0x01}) == Pdu{0x82, 0x01});
  }

  TEST_CASE("a board that identifies itself says what its file says its product is") {
    Unit unit{scattered_setup()};
    ForeignRegisters registers{unit};
    CHECK(registers.has_diagnostics());
    CHECK(ask(registers, {0x08, 0x00, 0x00, 0xA5, 0x37}) == Pdu{0x08, 0x00, 0x00, 0xA5, 0x37});
    // Object 1 alone; "quad-7".
    CHECK(ask(registers, {0x2B, 0x0E, 0x04, 0x01}) ==
          Pdu{0x2B, 0x0E, 0x04, 0x83, 0x00, 0x00, 0x01, 0x01, 0x06, 0x71, 0x75, 0x61, 0x64, 0x2D, 0x37});
    CHECK(ask(registers, {0x2B, 0x0E, 0x04, 0x80}) == Pdu{0xAB, 0x02});  // nothing of this project's profile
  }

  TEST_CASE("what isn't known reads 0 and goes on being readable") {
    sim::unit::UnitSetup setup = wall_setup();
    setup.source.reset();
    Unit unit{std::move(setup)};
    unit.advance(unit.now() + milliseconds(10'000));
    ForeignRegisters registers{unit};
    CHECK(ask(registers, {0x04, 0x00, 0x60, 0x00, 0x02}) == Pdu{0x04, 0x04, 0x00, 0x00, 0x00, 0x00});
    CHECK(ask(registers, {0x02, 0x00, 0x03, 0x00, 0x01}) == Pdu{0x02, 0x01, 0x00});
  }
}
