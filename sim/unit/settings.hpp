#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"

namespace sim::unit {

/// What the unit keeps in its settings memory.
struct Settings {
  host::model::PartsPerMillion brightness{800'000};
  host::model::PowerOn power_on = host::model::PowerOn::kAlways;
  host::model::Hertz pwm_frequency;
  std::size_t input = 0;  // index into Board::inputs
  bool scan = false;      // looks for a source by itself
  friend bool operator==(const Settings&, const Settings&) = default;
};

/// The settings of a unit that left production: the kit's; where the kit doesn't care, 80 %, on with the
/// supply, and the board's own PWM frequency.
[[nodiscard]] Settings settings_of(const host::model::Kit& kit);

/// Changes one setting by the names and values a kit file has: brightness "80 %", power_on "always", "last"
/// or "off", pwm_frequency "200 Hz", input by its id, selection "fixed" or "scan". Errors   one sentence that
/// says what would be right.
[[nodiscard]] tl::expected<Settings, std::string> with_setting(const host::model::Kit& kit, Settings settings,
                                                               std::string_view key, std::string_view value);

}  // namespace sim::unit
