#include "sim/unit/unit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/unit/applies.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::points::Point;

constexpr Duration kSamplePeriod = protocol::base::milliseconds(100);
constexpr double kDegreesPerWatt = 3;  // of the board over its surroundings
constexpr Duration kThermalTime = protocol::base::milliseconds(300'000);
constexpr Duration kHotAirTime = protocol::base::milliseconds(20'000);
constexpr Duration kShortLoss = protocol::base::milliseconds(1'000);  // of supply: counts as a brown-out

Memory fresh_memory(const UnitSetup& setup) {
  if (setup.memory) return *setup.memory;
  Memory memory;
  memory.settings = setup.settings;
  return memory;
}

}  // namespace

Unit::Unit(UnitSetup setup)
    : setup_{std::move(setup)},
      circuit_{setup_.kit, spread_of(setup_.kit, setup_.seed, setup_.within), wrongs_},
      firmware_{setup_.kit, fresh_memory(setup_), sequence_plan(setup_.kit, setup_.seed, setup_.within),
                wrongs_},
      meter_{setup_.kit, setup_.seed, setup_.within, spread_of(setup_.kit, setup_.seed, setup_.within)},
      straps_at_reset_{setup_.straps},
      board_degrees_{ambient_degrees_} {
  plugged_ = {setup_.source, setup_.settings.input};
  read_straps();
}

// As the sense pins tell them.
Positions Unit::sensed() const {
  Positions sensed = setup_.straps;
  if (wrongs_.has(Kind::kSenseStuck)) {
    if (const auto strap = strap_index(setup_.kit.board, wrongs_.argument<std::string>(Kind::kSenseStuck))) {
      model::Position& position = sensed[*strap];
      position.bits = position.bits != 0 ? 0 : 1;
      wrongs_.count(Kind::kSenseStuck);
    }
  }
  return sensed;
}

void Unit::read_straps() {
  Positions effective = setup_.straps;
  for (std::size_t i = 0; i < effective.size(); ++i) {
    if (setup_.kit.board.straps[i].evidence == model::Evidence::kAtReset) effective[i] = straps_at_reset_[i];
  }
  wired_ = resolve(setup_.kit, effective);
  firmware_.straps_changed(wired_);
  circuit_.disturb();
}

void Unit::see_source() {
  seen_input_ = firmware_.selected_input();
  const auto& inputs = setup_.kit.board.inputs;
  const auto limit =
      seen_input_ < inputs.size() ? std::optional{inputs[seen_input_].pixel_clock_max} : std::nullopt;
  const bool powered = circuit_.levels().logic_mv > 0;
  const Arriving in =
      powered ? arriving(setup_.kit, wrongs_, plugged_, seen_input_, edid_panel_) : Arriving{};
  if (receiver_.connect(in, limit, now_)) firmware_.source_lost(now_);
  circuit_.disturb();
}

void Unit::advance(Instant until) {
  while (now_ < until) {
    Instant next = std::min(until, sample_due_ > now_ ? sample_due_ : now_ + kSamplePeriod);
    if (!circuit_.settled()) next = std::min(next, now_ + kStep);
    const auto circuit_due = circuit_.next(now_);
    if (circuit_due && *circuit_due > now_) next = std::min(next, *circuit_due);
    for (const auto due : {receiver_.next(), firmware_.next(), strap_move_at_}) {
      if (due) next = std::min(next, std::max(*due, now_));
    }
    step(next);
    if (circuit_due && now_ >= *circuit_due) circuit_.disturb();
  }
}

void Unit::step(Instant to) {
  const Duration passed = to - now_;
  const bool moving = !circuit_.settled();
  ++steps_;
  const Drive drive = firmware_.drive();
  circuit_.advance({wired_, drive, key_}, to, passed);
  warm(passed);
  firmware_.count_life(passed);
  now_ = to;
  follow_power();

  bool acted = firmware_.run(now_);
  if (receiver_.run(now_)) {
    firmware_.source_locked(receiver_.timing(), now_);
    acted = true;
  }
  if (firmware_.selected_input() != seen_input_) see_source();
  if (strap_move_at_ && *strap_move_at_ <= now_) move_strap_live();
  if (acted) circuit_.disturb();
  if (circuit_.brown_out() && !was_brown_out_) {
    ++brown_outs_;
    wrongs_.count(Kind::kSupplyBrownout);
  }
  was_brown_out_ = circuit_.brown_out();
  sequence_.observe(circuit_.levels(), firmware_.drive(), now_);
  const bool due = now_ >= sample_due_;
  if (due) sample_due_ += kSamplePeriod;
  if (due || moving) sample();
  if (due) round();
  if (due || moving || acted) note();
}

// What someone who watches would notice.
void Unit::note() {
  constexpr int kStepPercent = 5;
  constexpr double kSteps = 20;
  const LightDriver& light = circuit_.light();
  Moment moment;
  moment.panel_runs = circuit_.panel().running();
  moment.data = circuit_.video() != Video::kNone;
  moment.lit = light.lit();
  if (moment.lit)
    moment.light_percent = kStepPercent * static_cast<int>(std::lround(light.brightness() * kSteps));
  moment.message = moment.data && firmware_.message();
  moment.asleep = firmware_.state() == PowerState::kNoSignal && !firmware_.message();
  history_.observe(moment, now_);
}

// The board's temperature goes to what its surroundings and its own losses make of it.
void Unit::warm(Duration passed) {
  const bool powered = circuit_.levels().logic_mv > 0;
  const double lost_w = powered ? static_cast<double>(setup_.kit.board.own_power.count) / 1'000 : 0;
  double target = ambient_degrees_ + kDegreesPerWatt * lost_w;
  Duration time = kThermalTime;
  if (wrongs_.has(Kind::kOverheat)) {
    target = static_cast<double>(wrongs_.argument<model::Millidegrees>(Kind::kOverheat).count) / 1'000;
    time = kHotAirTime;
    if (passed.count() > 0) wrongs_.count(Kind::kOverheat);
  }
  const double share = 1 - std::exp(-static_cast<double>(passed.count()) / static_cast<double>(time.count()));
  board_degrees_ += (target - board_degrees_) * share;
}

void Unit::follow_power() {
  const bool powered = circuit_.levels().logic_mv > 0;
  if (powered == was_powered_) return;
  was_powered_ = powered;
  if (!powered) {
    off_since_ = now_;
    firmware_.power_lost(now_);
    receiver_.restart();
    sequence_ = {};
    circuit_.disturb();
    return;
  }
  const bool short_loss = off_since_ && now_ - *off_since_ < kShortLoss;
  if (!short_loss) {
    supply_ = logic_ = panel_ = light_ = keypad_ = {};
    brown_outs_ = 0;
  }
  start(short_loss ? ResetCause::kBrownOut : ResetCause::kPower);
}

void Unit::start(ResetCause cause) {
  straps_at_reset_ = sensed();
  firmware_.power_up(cause, now_);
  read_straps();
  receiver_.restart();
  see_source();
}

// What the firmware looks at ten times a second, and what a person would.
void Unit::round() {
  const bool key_held = key_ > 0 || (wrongs_.has(Kind::kKeypadStuck) && circuit_.levels().keypad_ma > 0);
  if (firmware_.watch({circuit_.levels(), board_degrees_, circuit_.panel_folded(), was_brown_out_, key_held},
                      now_)) {
    circuit_.disturb();
  }
  if (circuit_.video() == Video::kNone || circuit_.video() == Video::kUnusable) return;
  for (const Kind optical : {Kind::kPanelCableMarginal, Kind::kPanelPairOpen, Kind::kPanelPairReversed,
                             Kind::kPanelChannelsSwapped, Kind::kPanelLineOpen, Kind::kPanelBlankingShort,
                             Kind::kScanDirectionReversed}) {
    wrongs_.count(optical);
  }
}

void Unit::sample() {
  const Levels& levels = circuit_.levels();
  supply_.take(measured(Point::kRailsSupplyInMv, levels.supply_mv), levels.supply_steady);
  logic_.take(measured(Point::kRailsLogicOutMv, levels.logic_mv), levels.logic_mv > 0);
  panel_.take(measured(Point::kRailsPanelOutMv, levels.panel_mv), levels.panel_steady);
  light_.take(measured(Point::kRailsLightOutMv, levels.light_mv), levels.light_steady);
  keypad_.take(measured(Point::kRailsKeypadOutMv, levels.keypad_mv), levels.keypad_mv > 0);
}

std::int64_t Unit::measured(Point point, double value) const {
  if (wrongs_.has(Kind::kReadingOff)) {
    const auto& off = wrongs_.argument<fault::ReadingError>(Kind::kReadingOff);
    if (off.point == point) {
      wrongs_.count(Kind::kReadingOff);
      value *= 1 + static_cast<double>(off.gain.count) / 1e6;
    }
  }
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
