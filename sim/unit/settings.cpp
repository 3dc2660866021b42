#include "sim/unit/settings.hpp"

#include <algorithm>

#include "host/model/quantity_text.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;

constexpr std::size_t kNoInput = static_cast<std::size_t>(-1);

std::size_t input_index(const model::Board& board, std::string_view id) {
  const auto at = std::find_if(board.inputs.begin(), board.inputs.end(),
                               [id](const model::VideoInput& input) { return input.id == id; });
  return at == board.inputs.end() ? kNoInput : static_cast<std::size_t>(at - board.inputs.begin());
}

std::string input_ids(const model::Board& board) {
  std::string ids;
  for (const model::VideoInput& input : board.inputs) ids.append(ids.empty() ? "" : ", ").append(input.id);
  return ids;
}

std::string refuse(std::string_view key, const std::string& right) {
  return "setting " + std::string{key} + " takes " + right;
}

}  // namespace

Settings settings_of(const model::Kit& kit) {
  Settings settings;
  settings.brightness = kit.settings.brightness.value_or(settings.brightness);
  settings.power_on = kit.settings.power_on.value_or(settings.power_on);
  settings.pwm_frequency = kit.settings.pwm_frequency.value_or(kit.board.light.pwm);
  const std::size_t input = input_index(kit.board, kit.video.input);
  settings.input = input == kNoInput ? 0 : input;
  return settings;
}

tl::expected<Settings, std::string> with_setting(const model::Kit& kit, Settings settings,
                                                 std::string_view key, std::string_view value) {
  if (key == "brightness") {
    const auto share = model::parse<model::PartsPerMillion>(value);
    if (!share || share->count < 0 || share->count > 1'000'000) {
      return tl::unexpected(refuse(key, "0 % to 100 %"));
    }
    settings.brightness = *share;
  } else if (key == "power_on") {
    if (value != "always" && value != "last" && value != "off") {
      return tl::unexpected(refuse(key, "always, last or off"));
    }
    settings.power_on = value == "always" ? model::PowerOn::kAlways
                        : value == "last" ? model::PowerOn::kLast
                                          : model::PowerOn::kOff;
  } else if (key == "pwm_frequency") {
    const auto frequency = model::parse<model::Hertz>(value);
    if (!frequency || !kit.board.light.pwm_range.contains(*frequency) || frequency->count <= 0) {
      return tl::unexpected(refuse(key, "a frequency this board can make, as \"200 Hz\""));
    }
    settings.pwm_frequency = *frequency;
  } else if (key == "input") {
    settings.input = input_index(kit.board, value);
    if (settings.input == kNoInput) return tl::unexpected(refuse(key, "one of " + input_ids(kit.board)));
  } else if (key == "selection") {
    if (value != "fixed" && value != "scan") return tl::unexpected(refuse(key, "fixed or scan"));
    settings.scan = value == "scan";
  } else {
    return tl::unexpected("there is no setting \"" + std::string{key} +
                          "\"; settings are brightness, power_on, pwm_frequency, input, selection");
  }
  return settings;
}

}  // namespace sim::unit
