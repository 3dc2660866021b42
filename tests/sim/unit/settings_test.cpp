#include "sim/unit/settings.hpp"

#include <doctest/doctest.h>

#include "tests/sim/elm_kit.hpp"

using sim::unit::Settings;
using sim::unit::settings_of;
using sim::unit::with_setting;
using tests::sim::elm_kit;

TEST_SUITE("sim/unit/settings") {
  TEST_CASE("a unit leaves production with its kit's settings, and the board's own where the kit has none") {
    const Settings settings = settings_of(elm_kit());
    CHECK(settings.brightness.count == 800'000);
    CHECK(settings.pwm_frequency.count == 200);
    CHECK(settings.power_on == host::model::PowerOn::kAlways);
    CHECK(settings.input == 0);
  }

  TEST_CASE("each setting takes what a kit file takes") {
    const host::model::Kit kit = elm_kit();
    const Settings settings = settings_of(kit);
    CHECK(with_setting(kit, settings, "brightness", "35.5 %")->brightness.count == 355'000);
    CHECK(with_setting(kit, settings, "pwm_frequency", "1 kHz")->pwm_frequency.count == 1'000);
    CHECK(with_setting(kit, settings, "power_on", "last")->power_on == host::model::PowerOn::kLast);
    CHECK(with_setting(kit, settings, "input", "vga-1")->input == 1);
    CHECK(with_setting(kit, settings, "selection", "scan")->scan);
  }

  TEST_CASE("what can't be is refused in one line that says what could") {
    const host::model::Kit kit = elm_kit();
    const Settings settings = settings_of(kit);
    const auto refusal = [&](const char* key, const char* value) {
      const auto changed = with_setting(kit, settings, key, value);
      return changed ? std::string{} : changed.error();
    };
    CHECK(refusal("brightness", "101 %") == "setting brightness takes 0 % to 100 %");
    CHECK(refusal("brightness", "bright") == "setting brightness takes 0 % to 100 %");
    CHECK(refusal("pwm_frequency", "1001 Hz").find("frequency this board can make") != std::string::npos);
    CHECK(refusal("pwm_frequency", "99 Hz").find("frequency this board can make") != std::string::npos);
    CHECK(refusal("power_on", "yes") == "setting power_on takes always, last or off");
    CHECK(refusal("input", "hdmi-2") == "setting input takes one of hdmi-1, vga-1");
    CHECK(refusal("contrast", "5").find("there is no setting \"contrast\"") != std::string::npos);
  }
}
