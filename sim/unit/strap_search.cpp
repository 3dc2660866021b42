#include "sim/unit/strap_search.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace sim::unit {
namespace {

namespace model = host::model;
using model::FunctionId;
using model::FunctionValue;
using model::Millivolts;
using model::Pattern;

// What is fixed of each strap so far.
using Fixed = std::vector<Pattern>;

struct Want {
  const model::Function* function = nullptr;
  std::vector<FunctionValue> values;  // the best first
};

std::int64_t middle(const model::Bounds<Millivolts>& window) {
  if (window.nominal) return window.nominal->count;
  return (window.min.value_or(Millivolts{}).count + window.max.value_or(Millivolts{}).count) / 2;
}

// Voltages inside a load's window, the one nearest its middle first.
bool fits(const model::Bounds<Millivolts>& window, const FunctionValue& value, std::int64_t& cost) {
  const auto* mv = std::get_if<Millivolts>(&value);
  if (mv == nullptr || !window.contains(*mv)) return false;
  cost = std::llabs(mv->count - middle(window));
  return true;
}

// Levels that the driver takes for on, the one farthest above its threshold first.
bool switches_on(const model::Panel::Enable& enable, const FunctionValue& value, std::int64_t& cost) {
  const auto* mv = std::get_if<Millivolts>(&value);
  if (mv == nullptr || *mv <= enable.on_above || (enable.max && *mv > *enable.max)) return false;
  cost = -mv->count;
  return true;
}

bool draws(const model::Panel& panel, const FunctionValue& value) {
  const auto* row = std::get_if<model::RasterRow>(&value);
  return row != nullptr && row->columns == panel.signal.raster_columns &&
         row->lines == panel.signal.raster_lines && row->channels == panel.link.channels &&
         row->bits == model::bits_per_pixel(panel.link.mapping);
}

// Whether the value suits this kit's panel; a lower cost suits it better.
bool suits(const model::Kit& kit, FunctionId id, const FunctionValue& value, std::int64_t& cost) {
  const model::Panel& panel = kit.panel;
  cost = 0;
  switch (id) {
    case FunctionId::kPanelSupply: return fits(panel.supply.voltage, value, cost);
    case FunctionId::kLightSupply: return fits(panel.backlight.supply, value, cost);
    case FunctionId::kLightEnable: return switches_on(panel.backlight.enable, value, cost);
    case FunctionId::kDimmingSense: return value == FunctionValue{panel.backlight.dimming.sense};
    case FunctionId::kBitMapping: return value == FunctionValue{panel.link.mapping};
    case FunctionId::kRasterRow: return draws(panel, value);
    case FunctionId::kKeypadPower:
      cost = value == FunctionValue{model::Toggle::kOn} ? 1 : 0;
      return !kit.keypad || cost == 1;
    case FunctionId::kScanDirection: return value == FunctionValue{model::ScanDirection::kNormal};
  }
  return false;
}

Want want_of(const model::Kit& kit, const model::Function& function) {
  std::vector<std::pair<std::int64_t, FunctionValue>> ranked;
  for (const model::FunctionRow& row : function.rows) {
    std::int64_t cost = 0;
    if (!suits(kit, function.id, row.value, cost)) continue;
    const auto dearer =
        std::find_if(ranked.begin(), ranked.end(), [cost](const auto& other) { return other.first > cost; });
    ranked.emplace(dearer, cost, row.value);
  }
  Want want{&function, {}};
  for (const auto& [cost, value] : ranked) want.values.push_back(value);
  return want;
}

class Search {
 public:
  Search(const model::Board& board, const std::vector<Want>& wants) : board_{board}, wants_{wants} {}

  // A joint position that gives every want one of its values, or nothing.
  std::optional<Positions> run() {
    if (!fix_want(0, Fixed(board_.straps.size()))) return std::nullopt;
    return found_;
  }

 private:
  bool fix_want(std::size_t want, const Fixed& fixed) {
    if (want == wants_.size()) return accept(fixed);
    const auto& rows = wants_[want].function->rows;
    for (const FunctionValue& value : wants_[want].values) {
      for (const model::FunctionRow& row : rows) {
        if (row.value == value && fix_setting(want, row, 0, fixed)) return true;
      }
    }
    return false;
  }

  bool fix_setting(std::size_t want, const model::FunctionRow& row, std::size_t setting, const Fixed& fixed) {
    if (setting == row.settings.size()) return fix_want(want + 1, fixed);
    const auto& [strap, patterns] = row.settings[setting];
    for (const Pattern pattern : patterns) {
      const Pattern before = fixed[strap];
      const auto both = static_cast<std::uint16_t>(before.care & pattern.care);
      if ((before.bits & both) != (pattern.bits & both)) continue;
      Fixed next = fixed;
      next[strap] = {static_cast<std::uint16_t>(before.care | pattern.care),
                     static_cast<std::uint16_t>(before.bits | pattern.bits)};
      if (fix_setting(want, row, setting + 1, next)) return true;
    }
    return false;
  }

  bool accept(const Fixed& fixed) {
    Positions positions;
    for (std::size_t i = 0; i < fixed.size(); ++i) {
      const std::uint16_t bits = fixed[i].bits;
      const bool jumper = board_.straps[i].kind == model::StrapKind::kJumper;
      if (jumper && (bits & (bits >> 1)) != 0) return false;  // one pin can't carry two caps
      positions.push_back({bits});
    }
    found_ = positions;
    return true;
  }

  const model::Board& board_;
  const std::vector<Want>& wants_;
  Positions found_;
};

}  // namespace

Healthy healthy_positions(const model::Kit& kit) {
  Healthy healthy;
  healthy.positions.resize(kit.board.straps.size());
  std::vector<Want> wants;
  for (const model::Function& function : kit.board.functions) {
    Want want = want_of(kit, function);
    const std::string name{model::to_text(function.id)};
    if (want.values.empty()) {
      healthy.unmet.push_back(name + ": no row gives this panel what it needs");
      continue;
    }
    wants.push_back(std::move(want));
    if (const auto found = Search{kit.board, wants}.run()) {
      healthy.positions = *found;
    } else {
      healthy.unmet.push_back(name + ": its straps are needed otherwise by another function");
      wants.pop_back();
    }
  }
  return healthy;
}

}  // namespace sim::unit
