#include "sim/unit/written.hpp"

#include <array>
#include <cmath>
#include <span>

#include "protocol/points/reading.hpp"
#include "sim/unit/firmware.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
namespace points = protocol::points;
using points::Point;
using protocol::pdu::ExceptionCode;

constexpr std::int64_t kPpmAPermille = 1'000;
constexpr std::int64_t kWholePermille = 1'000;
constexpr double kMillion = 1e6;

// Where a text of the stamp stands.
std::string Stamp::* place_of(Point point) {
  switch (point) {
    case Point::kStampKit: return &Stamp::kit;
    case Point::kStampKitRevision: return &Stamp::kit_revision;
    case Point::kStampKitDigest: return &Stamp::kit_digest;
    case Point::kStampDate: return &Stamp::date;
    default: return &Stamp::station;
  }
}

bool armed(const points::Layout& layout) {
  return layout.access == points::Access::kArmed;
}

void lay(const Kept& kept, Point point, std::span<std::uint16_t> registers) {
  if (points::is_text(points::layout(point).type)) {
    (void)points::encode_text(point, text_of(kept.stamp, point), registers);
  } else {
    (void)points::encode(point, number_of(kept.settings, point), registers);
  }
}

bool printable(std::span<const std::uint16_t> registers) {
  bool ended = false;
  for (const std::uint16_t word : registers) {
    for (const int octet : {word >> 8, word & 0xFF}) {
      if (ended ? octet != 0 : octet != 0 && (octet < 0x20 || octet > 0x7E)) return false;
      ended = ended || octet == 0;
    }
  }
  return true;
}

bool dimmed_by_pwm(const model::Kit& kit) {
  return kit.panel.backlight.dimming.by == model::DimmingKind::kPwm;
}

bool brightness_allowed(const model::Kit& kit, std::int64_t permille) {
  if (permille < 0 || permille > kWholePermille) return false;
  if (!dimmed_by_pwm(kit)) return true;
  const model::Panel::Dimming& dimming = kit.panel.backlight.dimming;
  const double share = static_cast<double>(permille) / static_cast<double>(kWholePermille);
  const double duty = duty_of(kit.board.light, share, dimming.sense);
  return dimming.duty.contains({std::llround(duty * kMillion)});
}

bool frequency_allowed(const model::Kit& kit, model::Hertz frequency) {
  return frequency.count > 0 && kit.board.light.pwm_range.contains(frequency) &&
         (!dimmed_by_pwm(kit) || kit.panel.backlight.dimming.frequency.contains(frequency));
}

// Takes one number. False: it can't be.
bool take(const model::Kit& kit, Settings& settings, Point point, std::int64_t number) {
  switch (point) {
    case Point::kSettingsLayout: return number == kSettingsLayout;
    case Point::kSettingsBrightnessPermille:
      settings.brightness = {number * kPpmAPermille};
      return brightness_allowed(kit, number);
    case Point::kSettingsPowerOn:
      settings.power_on = static_cast<model::PowerOn>(number);
      return number <= static_cast<std::int64_t>(model::PowerOn::kLast) && number >= 0;
    case Point::kSettingsInput:
      settings.input = static_cast<std::size_t>(number);
      return number < static_cast<std::int64_t>(kit.board.inputs.size());
    case Point::kSettingsSelection: settings.scan = number == 1; return number <= 1;
    default: settings.pwm_frequency = {number}; return frequency_allowed(kit, settings.pwm_frequency);
  }
}

bool take(const model::Kit& kit, Kept& kept, Point point, std::span<const std::uint16_t> registers) {
  const points::Reading reading = points::decode(point, registers);
  switch (reading.kind) {
    case points::Reading::Kind::kText:
      kept.stamp.*place_of(point) = std::string{reading.text()};
      return printable(registers);
    case points::Reading::Kind::kNumber: return take(kit, kept.settings, point, reading.number);
    case points::Reading::Kind::kUnread: break;
  }
  return false;
}

}  // namespace

tl::expected<Kept, ExceptionCode> with_written(const model::Kit& kit, const Kept& kept, std::uint16_t address,
                                               protocol::base::Words words) {
  Kept next = kept;
  const std::size_t end = address + words.size();
  for (std::size_t i = 0; i < points::kPointCount; ++i) {
    const points::Layout& layout = points::layouts()[i];
    const std::size_t count = points::register_count(layout.type);
    if (!armed(layout) || layout.address + count <= address || layout.address >= end) continue;
    const auto point = static_cast<Point>(i);
    std::array<std::uint16_t, points::register_count(points::Type::kText32)> registers{};
    lay(kept, point, registers);
    for (std::size_t n = 0; n < count; ++n) {
      const std::size_t at = layout.address + n;
      if (at >= address && at < end) registers[n] = words[at - address];
    }
    if (!take(kit, next, point, std::span{registers}.first(count))) {
      return tl::unexpected(ExceptionCode::kIllegalDataValue);
    }
  }
  return next;
}

std::int64_t number_of(const Settings& settings, Point point) {
  switch (point) {
    case Point::kSettingsLayout: return kSettingsLayout;
    case Point::kSettingsBrightnessPermille: return settings.brightness.count / kPpmAPermille;
    case Point::kSettingsPowerOn: return static_cast<std::int64_t>(settings.power_on);
    case Point::kSettingsInput: return static_cast<std::int64_t>(settings.input);
    case Point::kSettingsSelection: return settings.scan ? 1 : 0;
    default: return settings.pwm_frequency.count;
  }
}

const std::string& text_of(const Stamp& stamp, Point point) {
  return stamp.*place_of(point);
}

}  // namespace sim::unit
