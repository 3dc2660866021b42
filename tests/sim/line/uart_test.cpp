#include "sim/line/uart.hpp"

#include <doctest/doctest.h>

using namespace sim::line;

namespace {

constexpr CharacterFormat kSlow{9'600, Parity::kNone, 1};
constexpr CharacterFormat kFast{19'200, Parity::kNone, 1};

std::vector<std::uint8_t> octets_of(const std::vector<Heard>& all) {
  std::vector<std::uint8_t> octets;
  for (const Heard& one : all) octets.push_back(one.octet);
  return octets;
}

}  // namespace

TEST_SUITE("sim/line/uart") {
  TEST_CASE("ends that are set alike hear every octet, undamaged, each at its time") {
    std::vector<std::uint8_t> all(256);
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<std::uint8_t>(i);
    for (const Parity parity : {Parity::kNone, Parity::kEven, Parity::kOdd}) {
      for (const std::uint8_t stop : {std::uint8_t{1}, std::uint8_t{2}}) {
        const CharacterFormat format{115'200, parity, stop};
        const auto heard = as_heard(all, format, format);
        CHECK(octets_of(heard) == all);
        for (const Heard& one : heard) CHECK_FALSE(one.damaged);
        // Half a bit before the end of the first stop bit of the last character.
        const double bits = 256.0 * format.bits() - stop + 0.5;
        CHECK(heard.back().end_us == doctest::Approx(bits * 1e6 / 115'200));
      }
    }
  }

  TEST_CASE("a receiver at twice the speed sees each bit twice, by hand") {
    // 55h at 9600 8N1 is 0 1010 1010 1 on the line; at twice the speed 00 11 00 11 00 11 00 11 00 11.
    // First character: start 0, then 0 1 1 0 0 1 1 0 lowest first = 66h, stop 0: framing error.
    const auto heard = as_heard(std::vector<std::uint8_t>{0x55}, kSlow, kFast);
    REQUIRE_FALSE(heard.empty());
    CHECK(heard.front().octet == 0x66);
    CHECK(heard.front().damaged);
  }

  TEST_CASE("a receiver at half the speed sees every second bit, by hand") {
    // FFh at 19200 8N1 is 0 1 1 1 …: half a bit of 9600 into it the line is high again, so it was a spike.
    CHECK(as_heard(std::vector<std::uint8_t>{0xFF}, kFast, kSlow).empty());
    // 00h with even parity is ten bits low: the start bit and four bits of 9600, then high.
    const auto heard = as_heard(std::vector<std::uint8_t>{0x00}, {19'200, Parity::kEven, 1}, kSlow);
    REQUIRE(heard.size() == 1);
    CHECK(heard.front().octet == 0xF0);
    CHECK_FALSE(heard.front().damaged);
  }

  TEST_CASE("two per cent of speed do no harm, six do") {
    const std::vector<std::uint8_t> octets{0x00, 0x55, 0xFF, 0x80, 0x01};
    for (const std::uint32_t baud : {18'816U, 19'584U}) {
      CHECK(octets_of(as_heard(octets, {19'200, Parity::kEven, 1}, {baud, Parity::kEven, 1})) == octets);
    }
    for (const std::uint32_t baud : {18'000U, 20'400U}) {
      CHECK(octets_of(as_heard(octets, {19'200, Parity::kEven, 1}, {baud, Parity::kEven, 1})) != octets);
    }
  }

  TEST_CASE("the wrong parity damages every octet and changes none") {
    const std::vector<std::uint8_t> octets{0x00, 0x55, 0xFF, 0x80, 0x01};
    const auto heard = as_heard(octets, {9'600, Parity::kOdd, 1}, {9'600, Parity::kEven, 1});
    CHECK(octets_of(heard) == octets);
    for (const Heard& one : heard) CHECK(one.damaged);
  }
}
