#include <numeric>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/base/words.hpp"
#include "sim/unit/registers.hpp"
#include "tests/sim/elm_kit.hpp"
#include "tests/sim/unit/fault_bench.hpp"

using protocol::base::milliseconds;
using protocol::pdu::ExceptionCode;
using protocol::points::Point;
using sim::unit::EventCode;
using sim::unit::Memory;
using sim::unit::Registers;
using sim::unit::Unit;
using tests::sim::fault_setup;
using tests::sim::live;
using tests::sim::number;

namespace {

struct File {
  ExceptionCode code{};
  std::vector<std::uint16_t> words;
};

File read_file(Registers& registers, std::uint16_t file, std::uint16_t record, std::size_t count) {
  std::vector<std::uint8_t> octets(2 * count);
  File read;
  read.code = registers.read_file(file, record, {octets.data(), count});
  for (std::size_t i = 0; i < octets.size(); i += 2) {
    read.words.push_back(static_cast<std::uint16_t>(octets[i] << 8 | octets[i + 1]));
  }
  return read;
}

std::vector<std::uint8_t> octets_of(const std::vector<std::uint16_t>& words) {
  std::vector<std::uint8_t> octets;
  for (const std::uint16_t word : words) {
    octets.push_back(static_cast<std::uint8_t>(word >> 8));
    octets.push_back(static_cast<std::uint8_t>(word));
  }
  return octets;
}

unsigned sum(const std::vector<std::uint8_t>& octets, std::size_t first) {
  return std::accumulate(octets.begin() + static_cast<std::ptrdiff_t>(first),
                         octets.begin() + static_cast<std::ptrdiff_t>(first + 128), 0U) %
         256;
}

}  // namespace

TEST_SUITE("sim/unit/memory") {
  TEST_CASE("an input's EDID is read as a file, its checksums right and its first timing the kit's") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(1'000));
    Registers registers{unit};
    const File hdmi = read_file(registers, Registers::kEdidFile, 0, 128);  // 256 octets: base and CTA-861
    REQUIRE(hdmi.code == ExceptionCode::kNone);
    const auto octets = octets_of(hdmi.words);
    CHECK(sum(octets, 0) == 0);
    CHECK(sum(octets, 128) == 0);
    CHECK(octets[0x36] == (7'100 & 0xFF));  // 71 MHz in 10 kHz, low octet first
    CHECK(octets[0x37] == (7'100 >> 8));
    CHECK(read_file(registers, Registers::kEdidFile + 1, 0, 64).code ==
          ExceptionCode::kNone);  // vga-1: one block
    CHECK(read_file(registers, Registers::kEdidFile + 1, 0, 65).code == ExceptionCode::kIllegalDataAddress);
    CHECK(read_file(registers, Registers::kEdidFile + 2, 0, 1).code == ExceptionCode::kIllegalDataAddress);
    CHECK(read_file(registers, Registers::kEdidFile, 128, 1).code == ExceptionCode::kIllegalDataAddress);
    CHECK(read_file(registers, Registers::kEdidFile, 0xFFFF, 121).code == ExceptionCode::kIllegalDataAddress);
    CHECK(read_file(registers, 0, 0, 1).code == ExceptionCode::kIllegalDataAddress);
    CHECK(read_file(registers, 0xFFFF, 0, 1).code == ExceptionCode::kIllegalDataAddress);

    REQUIRE(unit.inject(*sim::fault::parse_fault("edid-corrupt")).has_value());
    CHECK(sum(octets_of(read_file(registers, Registers::kEdidFile, 0, 64).words), 0) != 0);
    REQUIRE(unit.mend(sim::fault::Kind::kEdidCorrupt).has_value());
    REQUIRE(unit.inject(*sim::fault::parse_fault("edid-of=small")).has_value());
    const auto other = octets_of(read_file(registers, Registers::kEdidFile, 0, 64).words);
    CHECK(sum(other, 0) == 0);
    CHECK(other[0x36] == (6'500 & 0xFF));
    CHECK(other[0x37] == (6'500 >> 8));
  }

  TEST_CASE("the event log tells in order what happened") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(10'000));
    Registers registers{unit};
    const auto records = number(unit, Point::kLogRecords);
    REQUIRE(records >= 4);
    CHECK(number(unit, Point::kLogNewest) == records - 1);
    // Started (by power), waking, locked, on: boot, uptime high and low, code, value.
    const File log = read_file(registers, Registers::kLogFile, 0, 20);
    REQUIRE(log.code == ExceptionCode::kNone);
    CHECK(log.words ==
          std::vector<std::uint16_t>{1, 0, 0, 1, 0, 1, 0, 0, 2, 3, 1, 0, 0, 4, 1, 1, 0, 0, 2, 4});
    CHECK(read_file(registers, Registers::kLogFile, 1'280, 1).code == ExceptionCode::kIllegalDataAddress);
  }

  TEST_CASE("the log is a ring: the oldest make room") {
    Unit unit{fault_setup()};
    live(unit, milliseconds(1'000));
    for (int i = 0; i < 400; ++i) {
      REQUIRE(unit.set_setting("brightness", i % 2 == 0 ? "50 %" : "60 %").has_value());
    }
    const Memory memory = unit.memory();
    CHECK(memory.log.size() == sim::unit::kLogEntriesMax);
    CHECK(number(unit, Point::kLogRecords) == 256);
    CHECK(number(unit, Point::kLogNewest) == (memory.log_written - 1) % 256);
    Registers registers{unit};
    const auto slot = static_cast<std::uint16_t>(number(unit, Point::kLogNewest) * 5);
    CHECK(read_file(registers, Registers::kLogFile, slot, 5).words ==
          std::vector<std::uint16_t>{1, 0, 0, static_cast<std::uint16_t>(EventCode::kSettingChanged), 0});
  }

  TEST_CASE("what a memory holds, the next unit of it knows") {
    auto setup = fault_setup();
    Memory kept;
    {
      Unit unit{setup};
      live(unit, milliseconds(5'400'000));  // an hour and a half
      REQUIRE(unit.set_setting("brightness", "35 %").has_value());
      kept = unit.memory();
    }
    kept.stamp = {"elm-test", "3", "0123456789abcdef", "2026-11-27", "bench 2"};
    setup.memory = kept;
    Unit unit{setup};
    live(unit, milliseconds(5'000));
    CHECK(number(unit, Point::kSettingsBrightnessPermille) == 350);
    CHECK(number(unit, Point::kSnapshotBoot) == 2);
    CHECK(number(unit, Point::kLifePowerCycles) == 2);
    CHECK(number(unit, Point::kLifeBoardHours) == 1);
    CHECK(number(unit, Point::kLifeLightHours) == 1);
    CHECK(std::get<std::string>(unit.value(Point::kStampKit)) == "elm-test");
    CHECK(std::get<std::string>(unit.value(Point::kStampStation)) == "bench 2");
    CHECK(unit.memory().log.front() == kept.log.front());
  }

  TEST_CASE("a unit told to come back as it was remembers that it was switched off") {
    auto setup = fault_setup();
    setup.settings.power_on = host::model::PowerOn::kLast;
    Unit unit{setup};
    live(unit, milliseconds(5'000));
    CHECK(number(unit, Point::kPowerState) == 4);
    REQUIRE(unit.press(1).has_value());
    unit.release();
    live(unit, milliseconds(2'000));
    unit.set_supply(host::model::Millivolts{0});
    live(unit, milliseconds(5'000));
    CHECK_FALSE(unit.answers());
    unit.set_supply(std::nullopt);
    live(unit, milliseconds(5'000));
    CHECK(number(unit, Point::kPowerState) == 1);
    CHECK(number(unit, Point::kSnapshotResetCause) == 0);
    CHECK(number(unit, Point::kLifePowerCycles) == 2);
  }

  TEST_CASE("parts anywhere inside their tolerances stay inside them, and so do their readings") {
    int beyond_typical = 0;
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
      CAPTURE(seed);
      auto setup = fault_setup();
      setup.seed = seed;
      setup.within = sim::unit::Within::kEdge;
      Unit unit{setup};
      live(unit, milliseconds(2'000));
      const auto& levels = unit.circuit().levels();
      // elm: rails +-3 % measured to 1.5 %, supply +-5 % measured to 1 %.
      CHECK(std::abs(levels.panel_selected_mv - 5'000) <= 150);
      CHECK(std::abs(levels.light_selected_mv - 12'000) <= 360);
      CHECK(std::abs(levels.supply_mv - 24'000) <= 1'200);
      // Reading and uncertainty together.
      CHECK(std::abs(number(unit, Point::kRailsPanelSelectedMv) - 5'000) <= 75);
      CHECK(std::abs(number(unit, Point::kRailsSupplyInMv) - 24'000) <= 960);
      if (std::abs(levels.panel_selected_mv - 5'000) > 15) ++beyond_typical;
    }
    CHECK(beyond_typical > 30);  // a tenth of the tolerance is 15 mV
  }
}
