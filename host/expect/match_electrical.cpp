#include <algorithm>

#include "host/expect/match_rules.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using model::FunctionId;
using model::Millivolts;
using Window = model::Bounds<Millivolts>;

Window with_tolerance(Millivolts value, model::PartsPerMillion tolerance) {
  const Millivolts half = share_of(value, tolerance);
  return {value - half, {}, value + half};
}

bool inside(const Window& range, const Window& window) {
  return window.contains(*range.min) && window.contains(*range.max);
}

struct Load {
  std::string_view name;
  const Window& window;
  FunctionId function;
};

// Negative permille of a bound that is missed by this much, rounded away from it.
std::int64_t short_by(Millivolts by, Millivolts bound) {
  return -((by.count * 1000 + bound.count - 1) / bound.count);
}

// Nearest a choice comes to the window, in permille of the bound it misses; negative.
std::int64_t nearest_miss(const model::Rail& rail, const Window& window) {
  std::int64_t best = -1000;
  for (const Millivolts choice : rail.choices) {
    const Window range = with_tolerance(choice, rail.tolerance);
    std::int64_t miss = 0;
    if (window.max && *range.max > *window.max && window.max->count > 0) {
      miss = short_by(*range.max - *window.max, *window.max);
    } else if (window.min && *range.min < *window.min && window.min->count > 0) {
      miss = short_by(*window.min - *range.min, *window.min);
    }
    best = std::max(best, std::min<std::int64_t>(miss, -1));
  }
  return best;
}

// The lowest voltage a rail that fits can have; nothing when none does, which is refused.
std::optional<Millivolts> match_rail(Bout& bout, const model::Rail* rail, const Load& load) {
  const std::string subject = phrase("rails.", load.name);
  const std::string needed = limits_text(load.window);
  if (rail == nullptr) {
    bout.refuse(RefusalKind::kElectrical, subject, needed, "none", phrase("it has no ", load.name, " rail"));
    return std::nullopt;
  }
  if (rail->origin == model::RailOrigin::kPassedThrough) {
    const auto& input = bout.board.input_supply.voltage;
    const Window both{std::max(input.min.value_or(Millivolts{}), load.window.min.value_or(Millivolts{})),
                      {},
                      std::min(input.max.value_or(Millivolts{model::kCountMax}),
                               load.window.max.value_or(Millivolts{model::kCountMax}))};
    if (*both.min > *both.max) {
      bout.refuse(RefusalKind::kElectrical, subject, needed, limits_text(input),
                  phrase("it hands its supply of ", limits_text(input), " on to the ", load.name,
                         ", which takes ", needed));
      return std::nullopt;
    }
    bout.result.remarks.push_back(phrase("it hands its supply on to the ", load.name,
                                         ": the whole range of the supply must lie in ", limits_text(both)));
    return both.min;
  }
  std::optional<Millivolts> lowest;
  std::string offered;
  for (const Millivolts choice : rail->choices) {
    const Window range = with_tolerance(choice, rail->tolerance);
    offered += phrase(offered.empty() ? "" : "; ", to_text(choice));
    if (inside(range, load.window) && !lowest) lowest = range.min;
  }
  if (!lowest) {
    bout.refuse(RefusalKind::kElectrical, subject, needed, offered,
                phrase("the ", load.name, " takes ", needed, ", its rail gives ", offered, " ±",
                       to_text(rail->tolerance)),
                nearest_miss(*rail, load.window));
  }
  return lowest;
}

void match_enable(Bout& bout) {
  const auto& enable = bout.panel.backlight.enable;
  const model::Function* function = bout.board.function(FunctionId::kLightEnable);
  std::vector<Millivolts> levels;
  if (bout.board.light.enable_high) levels.push_back(*bout.board.light.enable_high);
  if (function != nullptr) {
    for (const model::FunctionRow& row : function->rows) levels.push_back(std::get<Millivolts>(row.value));
  }
  std::string offered;
  std::int64_t miss = -1000;
  for (const Millivolts level : levels) {
    const Window range = with_tolerance(level, bout.board.light.enable_tolerance);
    const Window window{enable.on_above, {}, enable.max};
    if (inside(range, window)) return;
    offered += phrase(offered.empty() ? "" : "; ", to_text(level));
    if (*range.min < enable.on_above && enable.on_above.count > 0) {
      miss = std::max(miss, short_by(enable.on_above - *range.min, enable.on_above));
    }
  }
  bout.refuse(RefusalKind::kElectrical, "light.enable", limits_text(Window{enable.on_above, {}, enable.max}),
              offered.empty() ? "none" : offered,
              phrase("the backlight is on above ", to_text(enable.on_above),
                     enable.max ? phrase(" and bears ", to_text(*enable.max)) : "", "; it gives ",
                     offered.empty() ? "none" : offered),
              offered.empty() ? std::nullopt : std::optional(miss));
}

void match_level(Bout& bout) {
  const auto& takes = bout.panel.backlight.dimming.range;
  const auto& curve = bout.board.light.level_at;
  if (curve.empty()) {
    bout.refuse(RefusalKind::kElectrical, "light.level", limits_text(takes), "none",
                phrase("the backlight is dimmed by ", limits_text(takes), "; it gives no such voltage"));
    return;
  }
  const Window gives{curve.begin()->second, {}, curve.rbegin()->second};
  const bool apart = (takes.max && *gives.min > *takes.max) || (takes.min && *gives.max < *takes.min);
  if (apart) {
    bout.refuse(RefusalKind::kElectrical, "light.level", limits_text(takes), limits_text(gives),
                phrase("the backlight is dimmed by ", limits_text(takes), "; it gives ", limits_text(gives)));
  } else if (takes.max && *gives.max > *takes.max) {
    bout.result.remarks.push_back(phrase("its dimming voltage reaches ", to_text(*gives.max),
                                         ", the backlight takes ", limits_text(takes),
                                         ": the brightness must stay below"));
  }
}

void match_dimming(Bout& bout) {
  const auto& dimming = bout.panel.backlight.dimming;
  const model::Function* function = bout.board.function(FunctionId::kDimmingSense);
  const bool strapped =
      function != nullptr && std::ranges::any_of(function->rows, [&](const model::FunctionRow& row) {
        return row.value == model::FunctionValue{dimming.sense};
      });
  if (!strapped && bout.board.light.sense != dimming.sense) {
    bout.refuse(RefusalKind::kElectrical, "light.sense", std::string(to_text(dimming.sense)), "the other",
                phrase("the backlight is ", to_text(dimming.sense), "; it can't be set so"));
  }
  if (dimming.by != model::DimmingKind::kPwm) return match_level(bout);
  const auto& gives = bout.board.light.pwm_range;
  const bool apart = (gives.max && dimming.frequency.min && *gives.max < *dimming.frequency.min) ||
                     (gives.min && dimming.frequency.max && *gives.min > *dimming.frequency.max);
  if (apart) {
    bout.refuse(
        RefusalKind::kElectrical, "light.pwm", limits_text(dimming.frequency), limits_text(gives),
        phrase("the backlight dims at ", limits_text(dimming.frequency), "; it gives ", limits_text(gives)));
  }
}

}  // namespace

void match_electrical(Bout& bout) {
  const model::Panel& panel = bout.panel;
  const model::Rail* rail = bout.board.rail(model::RailId::kPanel);
  if (match_rail(bout, rail, {"panel", panel.supply.voltage, FunctionId::kPanelSupply}) &&
      panel.supply.worst.count > 0) {
    bout.hold(RefusalKind::kElectrical, "rails.panel.current", panel.supply.worst.count,
              rail->current_max.count, to_text(panel.supply.worst), to_text(rail->current_max),
              phrase("the panel draws ", to_text(panel.supply.worst), " at worst; its rail gives ",
                     to_text(rail->current_max)));
  }
  const model::Rail* light = bout.board.rail(model::RailId::kLight);
  const auto lowest = match_rail(bout, light, {"light", panel.backlight.supply, FunctionId::kLightSupply});
  if (lowest && lowest->count > 0 && panel.backlight.power.count > 0) {
    const model::Milliamps current{(panel.backlight.power.count * 1000 + lowest->count - 1) / lowest->count};
    bout.hold(RefusalKind::kElectrical, "rails.light.current", current.count, light->current_max.count,
              to_text(current), to_text(light->current_max),
              phrase("the backlight draws ", to_text(current), " at ", to_text(*lowest), "; its rail gives ",
                     to_text(light->current_max)));
  }
  match_enable(bout);
  match_dimming(bout);
}

}  // namespace host::expect
