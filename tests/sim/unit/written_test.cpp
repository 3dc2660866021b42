#include "sim/unit/written.hpp"

#include <string_view>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::pdu::ExceptionCode;
using sim::unit::Kept;
using tests::sim::elm_kit;

namespace {

constexpr std::uint16_t kStampKit = 0x040, kRevision = 0x050, kStation = 0x064;
constexpr std::uint16_t kLayout = 0x400, kBrightness = 0x401, kPowerOn = 0x402, kInput = 0x403,
                        kSelection = 0x404, kPwm = 0x405;

Kept fresh(const host::model::Kit& kit) {
  return {sim::unit::settings_of(kit), {"elm-kit", "A", "0123456789ABCDEF", "2031-05-07", "bench-3"}};
}

auto write(const host::model::Kit& kit, const Kept& kept, std::uint16_t address,
           const std::vector<std::uint16_t>& words) {
  std::vector<std::uint8_t> octets;
  for (const std::uint16_t word : words) {
    octets.push_back(static_cast<std::uint8_t>(word >> 8));
    octets.push_back(static_cast<std::uint8_t>(word & 0xFFU));
  }
  return sim::unit::with_written(kit, kept, address, {octets.data(), words.size()});
}

bool takes(const host::model::Kit& kit, std::uint16_t address, std::uint16_t word) {
  const auto done = write(kit, fresh(kit), address, {word});
  if (!done) CHECK(done.error() == ExceptionCode::kIllegalDataValue);
  return done.has_value();
}

}  // namespace

TEST_SUITE("sim/unit/written") {
  TEST_CASE("a whole block of settings is taken at once") {
    const auto kit = elm_kit();
    const auto done = write(kit, fresh(kit), kLayout, {1, 355, 2, 1, 1, 1'000});
    REQUIRE(done.has_value());
    CHECK(done->settings.brightness.count == 355'000);
    CHECK(done->settings.power_on == host::model::PowerOn::kLast);
    CHECK(done->settings.input == 1);
    CHECK(done->settings.scan);
    CHECK(done->settings.pwm_frequency.count == 1'000);
    CHECK(done->stamp == fresh(kit).stamp);
  }

  TEST_CASE("nothing is taken of a write that holds one value outside its limits") {
    const auto kit = elm_kit();
    const auto done = write(kit, fresh(kit), kLayout, {1, 355, 3, 1, 1, 1'000});
    REQUIRE_FALSE(done.has_value());
    CHECK(done.error() == ExceptionCode::kIllegalDataValue);
  }

  TEST_CASE("every setting has the limits of its kind and of the board") {
    const auto kit = elm_kit();  // two inputs; PWM 100 .. 1000 Hz
    CHECK(takes(kit, kLayout, 1));
    CHECK_FALSE(takes(kit, kLayout, 2));
    CHECK(takes(kit, kBrightness, 0));
    CHECK(takes(kit, kBrightness, 1'000));
    CHECK_FALSE(takes(kit, kBrightness, 1'001));
    CHECK_FALSE(takes(kit, kBrightness, 0xFFFF));  // a word that means "no value"
    CHECK(takes(kit, kPowerOn, 2));
    CHECK_FALSE(takes(kit, kPowerOn, 3));
    CHECK(takes(kit, kInput, 1));
    CHECK_FALSE(takes(kit, kInput, 2));
    CHECK(takes(kit, kSelection, 1));
    CHECK_FALSE(takes(kit, kSelection, 2));
    CHECK(takes(kit, kPwm, 100));
    CHECK_FALSE(takes(kit, kPwm, 99));
    CHECK(takes(kit, kPwm, 1'000));
    CHECK_FALSE(takes(kit, kPwm, 1'001));
    CHECK_FALSE(takes(kit, kPwm, 0));
  }

  TEST_CASE("what the panel's light can't take is refused though the board could make it") {
    auto kit = elm_kit();
    auto& dimming = kit.panel.backlight.dimming;
    dimming.frequency = {{{150}}, {}, {{500}}};
    dimming.duty = {{{200'000}}, {}, {{850'000}}};
    CHECK_FALSE(takes(kit, kPwm, 149));
    CHECK(takes(kit, kPwm, 150));
    CHECK(takes(kit, kPwm, 500));
    CHECK_FALSE(takes(kit, kPwm, 501));
    // Duty 10 % + 0.8 x brightness: 20 % at 125 permille, 85 % at 937.5.
    CHECK_FALSE(takes(kit, kBrightness, 124));
    CHECK(takes(kit, kBrightness, 125));
    CHECK(takes(kit, kBrightness, 937));
    CHECK_FALSE(takes(kit, kBrightness, 938));
    dimming.by = host::model::DimmingKind::kAnalogue;  // a voltage has no duty and no frequency
    CHECK(takes(kit, kBrightness, 124));
    CHECK(takes(kit, kPwm, 501));
  }

  TEST_CASE("a write may begin and end inside a text, and changes no other") {
    const auto kit = elm_kit();
    // "elm-kit" with its third register made "xy", and the revision behind stays.
    const auto done = write(kit, fresh(kit), kStampKit + 2, {0x7879});
    REQUIRE(done.has_value());
    CHECK(done->stamp.kit == "elm-xyt");
    CHECK(done->stamp.kit_revision == "A");
    // The last register of the kit's id, then the whole revision: "B2".
    const auto across = write(kit, fresh(kit), kRevision - 1, {0, 0x4232, 0, 0, 0});
    REQUIRE(across.has_value());
    CHECK(across->stamp.kit == "elm-kit");
    CHECK(across->stamp.kit_revision == "B2");
    CHECK(across->settings == fresh(kit).settings);
  }

  TEST_CASE("a text is printable and padded with NUL") {
    const auto kit = elm_kit();
    const auto station = [&](std::uint16_t first, std::uint16_t second) {
      return write(kit, fresh(kit), kStation, {first, second, 0, 0, 0, 0, 0, 0}).has_value();
    };
    CHECK(station(0x4142, 0x4300));
    CHECK(station(0, 0));
    CHECK_FALSE(station(0x411B, 0x4300));  // ESC
    CHECK_FALSE(station(0x4180, 0x4300));  // not ASCII
    CHECK_FALSE(station(0x4100, 0x4300));  // something behind the end
    CHECK_FALSE(station(0xFFFF, 0x0000));  // "not fitted"
  }
}
