#include "host/verify/consequence.hpp"

#include <algorithm>

#include "host/verify/decision.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using model::FunctionId;
using model::FunctionValue;
using model::Millivolts;
using model::PartsPerMillion;
using protocol::points::Point;
using Window = model::Bounds<std::int64_t>;

// An off rail still reads something: leakage, a sleeping converter. A tenth of the rail is no supply.
constexpr PartsPerMillion kOffShare{100'000};

Window exactly(std::int64_t value) {
  return Window{value, value, value};
}

Window around(Millivolts value, PartsPerMillion tolerance) {
  const Millivolts slack = share_of(value, tolerance);
  return Window{(value - slack).count, value.count, (value + slack).count};
}

const model::Rail* rail_behind(const model::Board& board, FunctionId id) {
  switch (id) {
    case FunctionId::kPanelSupply: return board.rail(model::RailId::kPanel);
    case FunctionId::kLightSupply: return board.rail(model::RailId::kLight);
    case FunctionId::kKeypadPower: return board.rail(model::RailId::kKeypad);
    case FunctionId::kLightEnable:
    case FunctionId::kDimmingSense:
    case FunctionId::kBitMapping:
    case FunctionId::kRasterRow:
    case FunctionId::kScanDirection: break;
  }
  return nullptr;
}

std::optional<Window> voltage_window(const model::Kit& kit, FunctionId id, Millivolts value) {
  if (id == FunctionId::kLightEnable) return around(value, kit.board.light.enable_tolerance);
  const model::Rail* rail = rail_behind(kit.board, id);
  if (rail == nullptr) return std::nullopt;
  Window window = around(value, rail->tolerance);
  // What is handed on from the input is as wide as the supply that feeds it.
  if (rail->origin == model::RailOrigin::kPassedThrough && kit.supply.voltage.contains(value)) {
    if (kit.supply.voltage.min) window.min = std::min(*window.min, kit.supply.voltage.min->count);
    if (kit.supply.voltage.max) window.max = std::max(*window.max, kit.supply.voltage.max->count);
  }
  return window;
}

std::optional<Window> toggle_window(const model::Kit& kit, FunctionId id, Point point, model::Toggle value) {
  const bool on = value == model::Toggle::kOn;
  if (!protocol::points::words(point).choices.empty()) return exactly(on ? 1 : 0);
  const model::Rail* rail = rail_behind(kit.board, id);
  if (rail == nullptr || rail->choices.empty()) return std::nullopt;
  const Millivolts made = rail->choices.front();
  if (on) return around(made, rail->tolerance);
  return Window{std::nullopt, 0, share_of(made, kOffShare).count};
}

// Duty in parts per million for a brightness, straight between the points of the board's table.
std::optional<std::int64_t> duty_at(const model::Board& board, std::int64_t brightness) {
  const auto& table = board.light.duty_at;
  const auto above = table.lower_bound(PartsPerMillion{brightness});
  if (above == table.end()) return std::nullopt;
  if (above->first.count == brightness) return above->second.count;
  if (above == table.begin()) return std::nullopt;
  const auto below = std::prev(above);
  const std::int64_t span = above->first.count - below->first.count;
  const std::int64_t rise = above->second.count - below->second.count;
  return below->second.count + rise * (brightness - below->first.count) / span;
}

std::optional<Window> sense_window(const model::Kit& kit, const Snapshot& snapshot, Point point,
                                   model::DimmingSense value) {
  const auto level = number_of(snapshot, Point::kBacklightLevelEffectivePermille);
  if (point != Point::kBacklightPwmDutyPermille || !level) return std::nullopt;
  const std::optional<std::int64_t> duty = duty_at(kit.board, *level * 1000);
  if (!duty) return std::nullopt;
  const std::int64_t high = value == model::DimmingSense::kHighIsBrighter ? *duty : 1'000'000 - *duty;
  return Window{high / 1000, high / 1000, (high + 999) / 1000};
}

std::optional<Window> window_of(const model::Kit& kit, const Snapshot& snapshot, FunctionId id, Point point,
                                const FunctionValue& value) {
  if (const auto* volts = std::get_if<Millivolts>(&value)) return voltage_window(kit, id, *volts);
  if (const auto* toggle = std::get_if<model::Toggle>(&value)) {
    return toggle_window(kit, id, point, *toggle);
  }
  if (const auto* sense = std::get_if<model::DimmingSense>(&value)) {
    return sense_window(kit, snapshot, point, *sense);
  }
  if (const auto* mapping = std::get_if<model::Mapping>(&value);
      point == Point::kPanelLinkMapping && mapping) {
    return exactly(static_cast<std::int64_t>(*mapping));
  }
  if (const auto* row = std::get_if<model::RasterRow>(&value); point == Point::kPanelLinkRasterH && row) {
    return exactly(row->columns.count);
  }
  return std::nullopt;
}

const expect::ExpectedPoint* expected_at(const expect::Expectation& expectation, Point point) {
  for (const expect::ExpectedPoint& expected : expectation.points) {
    if (expected.point == point) return &expected;
  }
  return nullptr;
}

std::vector<FunctionValue> values_of(const model::Function& function) {
  std::vector<FunctionValue> values;
  for (const model::FunctionRow& row : function.rows) {
    if (std::find(values.begin(), values.end(), row.value) == values.end()) values.push_back(row.value);
  }
  return values;
}

std::int64_t uncertainty_at(const model::Kit& kit, const expect::ExpectedPoint* expected, FunctionId id,
                            std::int64_t reading) {
  if (expected != nullptr) return expected->uncertainty.at(reading);
  if (id == FunctionId::kLightEnable) return kit.board.light.enable_uncertainty.count;
  const model::Rail* rail = rail_behind(kit.board, id);
  return rail == nullptr ? 0 : share_of(Millivolts{reading}, rail->uncertainty).count + 1;
}

}  // namespace

std::optional<Consequence> consequence_of(const model::Kit& kit, const expect::Expectation& expectation,
                                          std::size_t function, const Snapshot& snapshot) {
  const expect::ExpectedFunction& wanted = expectation.functions[function];
  if (!wanted.consequence) return std::nullopt;
  const Point point = *wanted.consequence;
  const expect::ExpectedPoint* expected = expected_at(expectation, point);
  const std::optional<std::int64_t> reading = number_of(snapshot, point);
  if (!reading || kit.board.evidence_of(point) != model::Evidence::kMeasured) return std::nullopt;
  if (expected != nullptr && expected->needs_awake && !awake(snapshot)) return std::nullopt;

  Consequence consequence;
  const std::int64_t uncertainty = uncertainty_at(kit, expected, wanted.id, *reading);
  const auto may_lie_in = [&](const Window& window) {
    const Standing standing = decide(*reading, uncertainty, window);
    return standing == Standing::kInside || standing == Standing::kUncertain;
  };
  for (const FunctionValue& value : values_of(kit.board.functions[function])) {
    const std::optional<Window> window = window_of(kit, snapshot, wanted.id, point, value);
    if (!window) return std::nullopt;
    if (may_lie_in(*window)) consequence.fits.push_back(value);
  }
  if (consequence.fits.empty() && expected != nullptr && may_lie_in(expected->bounds)) {
    consequence.fits = wanted.accepted;
  }
  return consequence;
}

}  // namespace host::verify
