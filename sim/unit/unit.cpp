#include "sim/unit/unit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace sim::unit {
namespace {

namespace model = host::model;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::points::Point;

constexpr Duration kSamplePeriod = protocol::base::milliseconds(100);
constexpr double kAmbientDegrees = 25;
constexpr double kDegreesPerWatt = 3;  // of the board over its surroundings
constexpr Duration kThermalTime = protocol::base::milliseconds(300'000);

std::optional<model::Hertz> clock_limit(const model::Board& board, std::size_t input) {
  return input < board.inputs.size() ? std::optional{board.inputs[input].pixel_clock_max} : std::nullopt;
}

}  // namespace

Unit::Unit(UnitSetup setup)
    : setup_{std::move(setup)},
      circuit_{setup_.kit, spread_of(setup_.kit, setup_.seed)},
      receiver_{clock_limit(setup_.kit.board, setup_.settings.input)},
      firmware_{setup_.kit, setup_.settings},
      meter_{setup_.kit.board, setup_.seed},
      straps_at_reset_{setup_.straps},
      wired_{resolve(setup_.kit, setup_.straps)},
      board_degrees_{kAmbientDegrees} {
  firmware_.straps_changed(wired_);
  firmware_.power_up(now_);
  receiver_.connect(setup_.source, now_);
}

Positions Unit::effective() const {
  Positions positions = setup_.straps;
  for (std::size_t i = 0; i < positions.size(); ++i) {
    if (setup_.kit.board.straps[i].evidence == model::Evidence::kAtReset) positions[i] = straps_at_reset_[i];
  }
  return positions;
}

void Unit::connect_source(const std::optional<model::Timing>& source) {
  const bool was_locked = receiver_.locked();
  receiver_.connect(source, now_);
  if (was_locked) firmware_.source_lost(now_);
  circuit_.disturb();
}

void Unit::move_strap(std::size_t strap, model::Position position) {
  setup_.straps[strap] = position;
  wired_ = resolve(setup_.kit, effective());
  firmware_.straps_changed(wired_);
  if (setup_.kit.board.straps[strap].evidence != model::Evidence::kAtReset) ++strap_changes_;
  circuit_.disturb();
}

void Unit::advance(Instant until) {
  while (now_ < until) {
    Instant next = std::min(until, sample_due_ > now_ ? sample_due_ : now_ + kSamplePeriod);
    if (!circuit_.settled()) next = std::min(next, now_ + kStep);
    for (const auto due : {receiver_.next(), firmware_.next()}) {
      if (due) next = std::min(next, std::max(*due, now_));
    }
    step(next);
  }
}

void Unit::step(Instant to) {
  const Duration passed = to - now_;
  const bool moving = !circuit_.settled();
  circuit_.advance(wired_, firmware_.drive(), passed);
  const double lost_w = static_cast<double>(setup_.kit.board.own_power.count) / 1'000;
  const double share =
      1 - std::exp(-static_cast<double>(passed.count()) / static_cast<double>(kThermalTime.count()));
  board_degrees_ += (kAmbientDegrees + kDegreesPerWatt * lost_w - board_degrees_) * share;
  now_ = to;

  bool acted = firmware_.run(now_);
  if (receiver_.run(now_)) {
    firmware_.source_locked(receiver_.timing(), now_);
    acted = true;
  }
  if (acted) circuit_.disturb();
  sequence_.observe(circuit_.levels(), firmware_.drive(), now_);
  if (circuit_.brown_out() && !was_brown_out_) ++brown_outs_;
  was_brown_out_ = circuit_.brown_out();
  const bool due = now_ >= sample_due_;
  if (due) sample_due_ += kSamplePeriod;
  if (due || moving) sample();
}

void Unit::sample() {
  const Levels& levels = circuit_.levels();
  supply_.take(measured(Point::kRailsSupplyInMv, levels.supply_mv), levels.supply_mv > 0);
  logic_.take(measured(Point::kRailsLogicOutMv, levels.logic_mv), levels.logic_mv > 0);
  panel_.take(measured(Point::kRailsPanelOutMv, levels.panel_mv), levels.panel_steady);
  light_.take(measured(Point::kRailsLightOutMv, levels.light_mv), levels.light_steady);
  keypad_.take(measured(Point::kRailsKeypadOutMv, levels.keypad_mv), levels.keypad_mv > 0);
}

std::int64_t Unit::measured(Point point, double value) const {
  return meter_.read(point, value, now_.time_since_epoch() / kSamplePeriod);
}

const Extremes& Unit::extremes(Point of) const {
  switch (of) {
    case Point::kRailsSupplyInMv: return supply_;
    case Point::kRailsLogicOutMv: return logic_;
    case Point::kRailsPanelOutMv: return panel_;
    case Point::kRailsLightOutMv: return light_;
    default: return keypad_;
  }
}

std::uint16_t Unit::changes() const {
  return static_cast<std::uint16_t>(firmware_.changes() + strap_changes_ + 2 * receiver_.losses() +
                                    (receiver_.locked() ? 1 : 0));
}

}  // namespace sim::unit
