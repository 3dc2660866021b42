#include "protocol/session/arming.hpp"

#include <array>
#include <string_view>

#include <doctest/doctest.h>

using protocol::session::arming_word;

namespace {

std::array<std::uint8_t, 16> registers_of(std::string_view serial) {
  std::array<std::uint8_t, 16> octets{};
  for (std::size_t i = 0; i < serial.size(); ++i) octets[i] = static_cast<std::uint8_t>(serial[i]);
  return octets;
}

}  // namespace

// Expected words come from the bitwise division of MODBUS over Serial Line V1.02, 6.2.2, in another language,
// over the sixteen octets of the serial number's registers and the two of the boot number.
TEST_SUITE("protocol/session/arming") {
  TEST_CASE("the word belongs to one unit and one of its starts") {
    CHECK(arming_word(registers_of("SIM-000001"), 1) == 0x6139);
    CHECK(arming_word(registers_of("SIM-000001"), 2) == 0x6079);
    CHECK(arming_word(registers_of("SIM-000001"), 3) == 0xA0B8);
    CHECK(arming_word(registers_of("SIM-000042"), 1) == 0x446C);
  }

  TEST_CASE("a remainder that stands for disarmed or for no value has its highest bit turned") {
    // The remainders are 0000h, FFFDh, FFFFh and FFFEh.
    CHECK(arming_word(registers_of("SIM-000001"), 0xA202) == 0x8000);
    CHECK(arming_word(registers_of("SIM-000001"), 0xF397) == 0x7FFD);
    CHECK(arming_word(registers_of("SIM-000001"), 0xF517) == 0x7FFF);
    CHECK(arming_word(registers_of("SIM-000001"), 0xF657) == 0x7FFE);
  }

  TEST_CASE("more of a serial number than there can be is left out") {
    const std::array<std::uint8_t, 40> longer{};
    CHECK(arming_word(longer, 7) == arming_word({longer.data(), 32}, 7));
  }
}
