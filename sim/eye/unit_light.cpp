#include "sim/eye/unit_light.hpp"

#include "sim/unit/edids.hpp"

namespace sim::eye {
namespace {

namespace model = host::model;
using fault::Kind;
using unit::Unit;
using unit::Wrongs;

constexpr double kWornLight = 0.6;  // of a new lamp's
constexpr int kKnobSteps = 20;

bool pulsed(const model::Kit& kit) {
  return kit.panel.backlight.dimming.by == model::DimmingKind::kPwm;
}

// A driver can't follow pulses that are shorter than its shortest at its highest frequency.
double followed(const model::Kit& kit, double share, double hertz) {
  constexpr double kUsualLeast = 0.01;
  const model::Panel::Dimming& dimming = kit.panel.backlight.dimming;
  if (!pulsed(kit) || !dimming.frequency.max || hertz <= static_cast<double>(dimming.frequency.max->count)) {
    return share;
  }
  const bool high = dimming.sense == model::DimmingSense::kHighIsBrighter;
  double least = kUsualLeast;
  if (high && dimming.duty.min && dimming.duty.min->count > 0) {
    least = static_cast<double>(dimming.duty.min->count) / 1e6;
  } else if (!high && dimming.duty.max && dimming.duty.max->count < 1'000'000) {
    least = 1 - static_cast<double>(dimming.duty.max->count) / 1e6;
  }
  return share * static_cast<double>(dimming.frequency.max->count) < least * hertz ? 0 : share;
}

double wanted_share(const model::Kit& kit) {
  constexpr double kUsual = 0.8;
  const double brightness =
      kit.settings.brightness ? static_cast<double>(kit.settings.brightness->count) / 1e6 : kUsual;
  return light_share(kit, Wrongs{}, kit.panel.backlight.dimming.sense, brightness, 0);
}

model::DimmingSense board_sense(const Unit& unit) {
  return unit.firmware().straps().sense.value_or(model::DimmingSense::kHighIsBrighter);
}

}  // namespace

double light_share(const model::Kit& kit, const Wrongs& wrongs, model::DimmingSense board_sense,
                   double brightness, double hertz) {
  const bool by_voltage = !pulsed(kit) && !kit.board.light.level_at.empty();
  const bool high = board_sense == model::DimmingSense::kHighIsBrighter;
  const double duty = by_voltage ? (high ? brightness : 1 - brightness)
                                 : unit::duty_of(kit.board.light, brightness, board_sense);
  const unit::DimmingLine line = unit::dimming_line(kit, wrongs, true, duty, hertz);
  unit::LightDriver driver{kit.panel.backlight};
  unit::LightDriver::Pins pins;
  pins.duty = line.duty;
  pins.dimming_mv = line.mv;
  driver.pins(pins, Wrongs{});
  return followed(kit, driver.brightness(), line.hertz);
}

Light light_of(const Unit& unit) {
  const model::Kit& kit = unit.kit();
  const unit::Circuit& circuit = unit.circuit();
  Light light;
  light.lit = circuit.light().lit();
  light.wanted = wanted_share(kit);
  light.hertz = pulsed(kit) ? circuit.levels().dimming.hertz : 0;
  light.share = followed(kit, circuit.light().brightness(), light.hertz);
  light.duty = light.share;
  if (unit.wrongs().has(Kind::kBacklightStringOpen)) light.strings_dark = 1;
  if (unit.wrongs().has(Kind::kLampWorn)) light.lamp = kWornLight;
  // A copy: asking counts, and a look is no effect of a fault.
  // NOLINTNEXTLINE(performance-unnecessary-copy-initialization)
  const Wrongs uncounted = unit.wrongs();
  const auto hertz = static_cast<double>(unit.firmware().settings().pwm_frequency.count);
  for (int step = 0; step <= kKnobSteps; ++step) {
    light.knob.push_back(
        light_share(kit, uncounted, board_sense(unit), static_cast<double>(step) / kKnobSteps, hertz));
  }
  return light;
}

Light cool_light_of(const Unit& unit) {
  Light light = light_of(unit);
  if (unit.firmware().limited_by() != unit::LimitedBy::kTemperature) return light;
  const unit::Settings& settings = unit.firmware().settings();
  light.share = light_share(unit.kit(), Wrongs{unit.wrongs()}, board_sense(unit),
                            static_cast<double>(settings.brightness.count) / 1e6,
                            static_cast<double>(settings.pwm_frequency.count));
  return light;
}

}  // namespace sim::eye
