#include "protocol/points/reading.hpp"

#include <array>
#include <cstdint>

#include <doctest/doctest.h>

#include "protocol/points/words.hpp"

namespace points = protocol::points;
using points::Point;
using points::Reading;
using points::Unread;

TEST_SUITE("protocol/points") {
  TEST_CASE("a 32-bit value carries its high word first") {
    // 148500 kHz = 0002'4414h
    const std::array<std::uint16_t, 2> registers = {0x0002, 0x4414};
    const Reading reading = points::decode(Point::kInputPixelClockKhz, registers);
    CHECK(reading.kind == Reading::Kind::kNumber);
    CHECK(reading.number == 148'500);
  }

  TEST_CASE("a signed value is scaled into the unit of its name") {
    const std::array<std::uint16_t, 1> warm = {0x0113};  // 275 tenths of a degree
    CHECK(points::decode(Point::kThermalBoardMdegc, warm).number == 27'500);
    const std::array<std::uint16_t, 1> cold = {0xFF9C};  // -100 tenths
    CHECK(points::decode(Point::kThermalBoardMdegc, cold).number == -10'000);
  }

  TEST_CASE("a text ends at its first NUL, and the high octet comes first") {
    std::array<std::uint16_t, 8> registers{};
    registers[0] = 0x4153;  // "AS"
    registers[1] = 0x4800;  // "H"
    CHECK(points::decode(Point::kIdentitySerial, registers).text() == "ASH");
    registers.fill(0x5A5A);
    CHECK(points::decode(Point::kIdentitySerial, registers).text() == "ZZZZZZZZZZZZZZZZ");
  }

  TEST_CASE("the three unread words mean what they say, in every type") {
    struct Row {
      Point point;
      std::array<std::uint16_t, 2> not_fitted, asleep, no_edges;
    };
    const std::array<Row, 3> rows = {{
        {Point::kRailsPanelOutMa, {0xFFFF, 0}, {0xFFFE, 0}, {0xFFFD, 0}},
        {Point::kThermalPanelMdegc, {0x8000, 0}, {0x8001, 0}, {0x8002, 0}},
        {Point::kInputPixelClockKhz, {0xFFFF, 0xFFFF}, {0xFFFF, 0xFFFE}, {0xFFFF, 0xFFFD}},
    }};
    for (const Row& row : rows) {
      CAPTURE(points::words(row.point).name);
      CHECK(points::decode(row.point, row.not_fitted).kind == Reading::Kind::kUnread);
      CHECK(points::decode(row.point, row.not_fitted).unread == Unread::kNotFitted);
      CHECK(points::decode(row.point, row.asleep).unread == Unread::kAsleep);
      CHECK(points::decode(row.point, row.no_edges).unread == Unread::kNoEdges);
      CHECK(points::decode(row.point, row.no_edges).kind == Reading::Kind::kUnread);
    }
  }

  TEST_CASE("what is encoded decodes to itself, at the edges of every type") {
    struct Row {
      Point point;
      std::int64_t number;
      bool fits;
    };
    const std::array<Row, 10> rows = {{
        {Point::kRailsPanelOutMv, 0, true},
        {Point::kRailsPanelOutMv, 0xFFFC, true},
        {Point::kRailsPanelOutMv, 0xFFFD, false},
        {Point::kRailsPanelOutMv, -1, false},
        {Point::kInputPixelClockKhz, 0xFFFFFFFC, true},
        {Point::kInputPixelClockKhz, 0xFFFFFFFD, false},
        {Point::kThermalBoardMdegc, -3'276'500, true},
        {Point::kThermalBoardMdegc, -3'276'600, false},
        {Point::kThermalBoardMdegc, 3'276'700, true},
        {Point::kIdentitySerial, 1, false},
    }};
    for (const Row& row : rows) {
      CAPTURE(row.number);
      std::array<std::uint16_t, 8> registers{};
      CHECK(points::encode(row.point, row.number, registers) == row.fits);
      if (row.fits) CHECK(points::decode(row.point, registers).number == row.number);
    }
  }

  TEST_CASE("every reason for no value survives the wire, for every point") {
    for (std::size_t i = 0; i < points::kPointCount; ++i) {
      const auto point = static_cast<Point>(i);
      CAPTURE(points::words(point).name);
      for (const Unread why : {Unread::kNotFitted, Unread::kAsleep, Unread::kNoEdges}) {
        std::array<std::uint16_t, 16> registers{};
        points::encode_unread(point, why, registers);
        const Reading reading = points::decode(point, registers);
        CHECK(reading.kind == Reading::Kind::kUnread);
        CHECK(reading.unread == why);
      }
    }
  }

  TEST_CASE("too few registers read as not fitted and are never read past") {
    const std::array<std::uint16_t, 1> one = {7};
    CHECK(points::decode(Point::kInputPixelClockKhz, one).kind == Reading::Kind::kUnread);
    CHECK(points::decode(Point::kIdentitySerial, one).kind == Reading::Kind::kUnread);
    CHECK(points::decode(Point::kRailsPanelOutMv, {}).kind == Reading::Kind::kUnread);
  }

  TEST_CASE("a choice names its values and nothing else") {
    CHECK(points::choice(Point::kPowerState, 4) == "on");
    CHECK(points::choice(Point::kPowerState, 6).empty());
    CHECK(points::choice(Point::kPowerState, -1).empty());
    CHECK(points::choice(Point::kRailsPanelOutMv, 1).empty());
  }
}
