#include "sim/port/memory_text.hpp"

#include <charconv>
#include <limits>

namespace sim::port {
namespace {

namespace model = host::model;

template <typename Number>
std::optional<Number> number(std::string_view text) {
  Number value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

template <typename Number>
bool take(std::string_view text, Number& target) {
  const auto value = number<Number>(text);
  if (value) target = *value;
  return value.has_value();
}

bool take(std::string_view text, bool& target) {
  target = text == "1";
  return text == "0" || text == "1";
}

std::string line_of(std::string_view key, std::string_view value) {
  std::string text = std::string{key} + ' ' + std::string{value} + '\n';
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    if (static_cast<unsigned char>(text[i]) < 0x20) text[i] = ' ';
  }
  return text;
}

template <typename Number>
std::string line_of(std::string_view key, Number value)
  requires std::is_integral_v<Number>
{
  return line_of(key, std::string_view{std::to_string(value)});
}

bool take_log(std::string_view text, unit::Memory& memory) {
  unit::LogEntry entry;
  std::uint16_t code = 0;
  const auto word = [&text] {
    const std::string_view first = text.substr(0, text.find(' '));
    text.remove_prefix(first.size() == text.size() ? first.size() : first.size() + 1);
    return first;
  };
  if (!take(word(), entry.boot) || !take(word(), entry.uptime_s) || !take(word(), code) ||
      !take(word(), entry.value) || !text.empty() || memory.log.size() >= unit::kLogEntriesMax) {
    return false;
  }
  entry.code = static_cast<unit::EventCode>(code);
  memory.log.push_back(entry);
  return true;
}

bool take_setting(std::string_view key, std::string_view value, const model::Kit& kit,
                  unit::Settings& settings) {
  constexpr std::int64_t kWhole = 1'000'000;
  if (key == "brightness_ppm") {
    return take(value, settings.brightness.count) && settings.brightness.count >= 0 &&
           settings.brightness.count <= kWhole;
  }
  if (key == "power_on") {
    int power_on = 0;
    if (!take(value, power_on) || power_on < 0 || power_on > 2) return false;
    settings.power_on = static_cast<model::PowerOn>(power_on);
    return true;
  }
  if (key == "pwm_hz") return take(value, settings.pwm_frequency.count) && settings.pwm_frequency.count > 0;
  if (key == "input") return take(value, settings.input) && settings.input < kit.board.inputs.size();
  return take(value, settings.scan);
}

bool take_line(std::string_view key, std::string_view value, const model::Kit& kit, unit::Memory& memory) {
  for (const std::string_view setting : {"brightness_ppm", "power_on", "pwm_hz", "input", "scan"}) {
    if (key == setting) return take_setting(key, value, kit, memory.settings);
  }
  if (key == "log") return take_log(value, memory);
  if (key == "log_written") return take(value, memory.log_written);
  if (key == "board_ms") return take(value, memory.board_ms);
  if (key == "light_ms") return take(value, memory.light_ms);
  if (key == "power_cycles") return take(value, memory.power_cycles);
  if (key == "boot") return take(value, memory.boot);
  if (key == "was_on") return take(value, memory.was_on);
  std::string* const text = key == "stamp_kit"        ? &memory.stamp.kit
                            : key == "stamp_revision" ? &memory.stamp.kit_revision
                            : key == "stamp_digest"   ? &memory.stamp.kit_digest
                            : key == "stamp_date"     ? &memory.stamp.date
                            : key == "stamp_station"  ? &memory.stamp.station
                                                      : nullptr;
  if (text == nullptr) return false;
  *text = value;
  return true;
}

}  // namespace

std::string to_text(const unit::Memory& memory) {
  const unit::Settings& settings = memory.settings;
  std::string text = line_of("brightness_ppm", settings.brightness.count) +
                     line_of("power_on", static_cast<int>(settings.power_on)) +
                     line_of("pwm_hz", settings.pwm_frequency.count) + line_of("input", settings.input) +
                     line_of("scan", settings.scan ? 1 : 0);
  text += line_of("stamp_kit", memory.stamp.kit) + line_of("stamp_revision", memory.stamp.kit_revision) +
          line_of("stamp_digest", memory.stamp.kit_digest) + line_of("stamp_date", memory.stamp.date) +
          line_of("stamp_station", memory.stamp.station);
  text += line_of("board_ms", memory.board_ms) + line_of("light_ms", memory.light_ms) +
          line_of("power_cycles", memory.power_cycles) + line_of("boot", memory.boot) +
          line_of("was_on", memory.was_on ? 1 : 0) + line_of("log_written", memory.log_written);
  for (const unit::LogEntry& entry : memory.log) {
    text += "log " + std::to_string(entry.boot) + ' ' + std::to_string(entry.uptime_s) + ' ' +
            std::to_string(static_cast<unsigned>(entry.code)) + ' ' + std::to_string(entry.value) + '\n';
  }
  return text;
}

std::optional<unit::Memory> parse_memory(std::string_view text, const model::Kit& kit) {
  unit::Memory memory;
  memory.settings = unit::settings_of(kit);
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    if (end == std::string_view::npos) return std::nullopt;
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(end + 1);
    const std::size_t blank = line.find(' ');
    if (blank == std::string_view::npos) return std::nullopt;
    if (!take_line(line.substr(0, blank), line.substr(blank + 1), kit, memory)) return std::nullopt;
  }
  return memory;
}

}  // namespace sim::port
