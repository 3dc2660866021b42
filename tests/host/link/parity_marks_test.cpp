#include "host/link/parity_marks.hpp"

#include <cstdint>
#include <vector>

#include <doctest/doctest.h>

using host::link::ParityMarks;
using Words = std::vector<std::uint8_t>;
using Places = std::vector<std::size_t>;

TEST_SUITE("host/link/parity_marks") {
  TEST_CASE("the worked example reads as its comment says, whole and octet by octet") {
    const Words raw{0x01, 0xFF, 0xFF, 0x02, 0xFF, 0x00, 0x41, 0x03};
    ParityMarks whole;
    const auto sound = whole.decode(raw);
    CHECK(sound.octets == Words{0x01, 0xFF, 0x02, 0x03});
    CHECK(sound.damage == Places{3});
    CHECK(sound.damaged == Words{0x41});

    ParityMarks pieces;
    Words octets;
    Places damage;
    for (const std::uint8_t octet : raw) {
      const auto piece = pieces.decode({&octet, 1});
      for (const std::size_t place : piece.damage) {
        damage.push_back(octets.size() + place);
      }
      octets.insert(octets.end(), piece.octets.begin(), piece.octets.end());
    }
    CHECK(octets == sound.octets);
    CHECK(damage == sound.damage);
  }

  TEST_CASE("a damaged octet never becomes data, whatever it is") {
    for (int octet = 0; octet < 256; ++octet) {
      CAPTURE(octet);
      ParityMarks marks;
      const auto sound = marks.decode(Words{0xFF, 0x00, static_cast<std::uint8_t>(octet), 0x55});
      CHECK(sound.octets == Words{0x55});
      CHECK(sound.damage == Places{0});
    }
  }

  TEST_CASE("every plain octet passes, and a doubled FF is one") {
    for (int octet = 0; octet < 255; ++octet) {
      CAPTURE(octet);
      ParityMarks marks;
      const auto sound = marks.decode(Words{static_cast<std::uint8_t>(octet)});
      CHECK(sound.octets == Words{static_cast<std::uint8_t>(octet)});
      CHECK(sound.damage.empty());
    }
    ParityMarks marks;
    CHECK(marks.decode(Words{0xFF, 0xFF, 0xFF, 0xFF}).octets == Words{0xFF, 0xFF});
  }

  TEST_CASE("a lone FF is damage, and the next octet after it is data again") {
    ParityMarks marks;
    const auto sound = marks.decode(Words{0xFF, 0x41, 0x42});
    CHECK(sound.octets == Words{0x42});
    CHECK(sound.damage == Places{0});
  }
}
