#include <array>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/points/reading.hpp"
#include "sim/unit/registers.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using protocol::pdu::ExceptionCode;
using protocol::points::Point;
using protocol::session::Table;
using sim::unit::Registers;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::kBr1;
using tests::sim::live;

namespace {

constexpr std::uint16_t kLatch = 0x0A0;

ExceptionCode write(Registers& registers, std::uint16_t address, std::initializer_list<std::uint16_t> words) {
  std::vector<std::uint8_t> octets(words.size() * 2);
  const protocol::base::WordSink sink{octets.data(), words.size()};
  for (std::size_t i = 0; i < words.size(); ++i) sink.set(i, std::data(words)[i]);
  return registers.write_registers(address, {octets.data(), words.size()});
}

ExceptionCode latch(Registers& registers, std::uint16_t owner) {
  return write(registers, kLatch, {owner});
}

ExceptionCode read(Registers& registers, Table table, std::uint16_t address, std::span<std::uint16_t> words) {
  std::vector<std::uint8_t> octets(words.size() * 2);
  const ExceptionCode code = registers.read_registers(table, address, {octets.data(), words.size()});
  for (std::size_t i = 0; i < words.size(); ++i)
    words[i] = protocol::base::Words{octets.data(), words.size()}[i];
  return code;
}

std::vector<std::uint16_t> image(Registers& registers) {
  std::vector<std::uint16_t> words(protocol::points::image_size());
  for (std::size_t at = 0; at < words.size(); at += 100) {
    const std::size_t count = std::min<std::size_t>(100, words.size() - at);
    const auto address = static_cast<std::uint16_t>(protocol::points::kImageAddress + at);
    REQUIRE(read(registers, Table::kInput, address, std::span{words}.subspan(at, count)) ==
            ExceptionCode::kNone);
  }
  return words;
}

std::int64_t in_image(const std::vector<std::uint16_t>& words, Point point) {
  const auto& layout = protocol::points::layout(point);
  const auto reading = protocol::points::decode(point, std::span{words}.subspan(layout.image));
  REQUIRE(reading.kind == protocol::points::Reading::Kind::kNumber);
  return reading.number;
}

}  // namespace

TEST_SUITE("sim/unit/latch") {
  TEST_CASE("before the first latch the image answers that there is none") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    std::array<std::uint16_t, 1> word{};
    CHECK(read(registers, Table::kInput, 0x1000, word) == ExceptionCode::kServerDeviceFailure);
  }

  TEST_CASE("a latch takes every point at one moment, whatever happens between two reads") {
    Unit unit{elm_setup()};
    live(unit, milliseconds(10'000));
    Registers registers{unit};
    REQUIRE(latch(registers, 0x1234) == ExceptionCode::kNone);
    const auto first = image(registers);
    CHECK(in_image(first, Point::kSnapshotGeneration) == 1);
    CHECK(in_image(first, Point::kSnapshotOwner) == 0x1234);
    CHECK(in_image(first, Point::kSnapshotUptimeS) == 9);
    CHECK(in_image(first, Point::kRailsPanelOutMv) == 4'993);
    CHECK(in_image(first, Point::kInputLocked) == 1);

    unit.connect_source(std::nullopt);
    unit.move_strap(kBr1, {0b100});
    live(unit, milliseconds(5'000));
    CHECK(image(registers) == first);

    REQUIRE(latch(registers, 0x4321) == ExceptionCode::kNone);
    const auto second = image(registers);
    CHECK(in_image(second, Point::kSnapshotGeneration) == 2);
    CHECK(in_image(second, Point::kSnapshotOwner) == 0x4321);
    CHECK(in_image(second, Point::kInputLocked) == 0);
    CHECK(in_image(second, Point::kRailsPanelSelectedMv) == 12'000);
    CHECK(in_image(second, Point::kSnapshotChanges) > in_image(first, Point::kSnapshotChanges));
  }

  TEST_CASE("the live registers say who latched last") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    REQUIRE(latch(registers, 0x0BEE) == ExceptionCode::kNone);
    std::array<std::uint16_t, 2> live_words{};
    REQUIRE(read(registers, Table::kInput, 0x080, live_words) == ExceptionCode::kNone);
    CHECK(live_words == std::array<std::uint16_t, 2>{1, 0x0BEE});
    std::array<std::uint16_t, 1> owner{};
    REQUIRE(read(registers, Table::kHolding, kLatch, owner) == ExceptionCode::kNone);
    CHECK(owner[0] == 0x0BEE);
  }

  TEST_CASE("a word that means unread can own no latch, and a refused latch changes nothing") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    CHECK(latch(registers, 0xFFFD) == ExceptionCode::kIllegalDataValue);
    CHECK(write(registers, kLatch, {1, 2}) == ExceptionCode::kIllegalDataAddress);
    std::array<std::uint16_t, 1> generation{1};
    REQUIRE(read(registers, Table::kInput, 0x080, generation) == ExceptionCode::kNone);
    CHECK(generation[0] == 0);
    CHECK(latch(registers, 0xFFFC) == ExceptionCode::kNone);
  }

  TEST_CASE("the image ends where it ends") {
    Unit unit{elm_setup()};
    Registers registers{unit};
    REQUIRE(latch(registers, 1) == ExceptionCode::kNone);
    const auto last = static_cast<std::uint16_t>(0x1000 + protocol::points::image_size() - 1);
    std::array<std::uint16_t, 2> words{};
    CHECK(read(registers, Table::kInput, last, std::span{words}.first(1)) == ExceptionCode::kNone);
    CHECK(read(registers, Table::kInput, last, words) == ExceptionCode::kIllegalDataAddress);
    CHECK(read(registers, Table::kInput, 0x0FFF, words) == ExceptionCode::kIllegalDataAddress);
    CHECK(read(registers, Table::kHolding, 0x1000, words) == ExceptionCode::kIllegalDataAddress);
  }
}
