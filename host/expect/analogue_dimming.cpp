#include <algorithm>

#include "host/expect/curve.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::Millivolts;
using model::PartsPerMillion;
using Span = model::Bounds<Millivolts>;

constexpr PartsPerMillion kFull{1'000'000};

// What the voltage may be off by: as with a duty, 3 % of what the board's output spans. Common practice.
constexpr PartsPerMillion kLevelSlack{30'000};

// Less of the panel's range than this and a person sees that the light doesn't go all the way. Common
// practice.
constexpr PartsPerMillion kReachMin{800'000};

Millivolts slack_of(const model::Kit& kit) {
  const auto& curve = kit.board.light.level_at;
  return share_of(curve.rbegin()->second - curve.begin()->second, kLevelSlack);
}

// The voltages a kit can come to: round that of its brightness, or from one end of the board's to the other.
Span levels_of(const model::Kit& kit) {
  if (const auto& brightness = kit.settings.brightness) {
    const Millivolts level = *level_at(kit, *brightness);
    return {level, level, level};
  }
  return {kit.board.light.level_at.begin()->second, {}, kit.board.light.level_at.rbegin()->second};
}

void add(Findings& findings, std::string expected, std::string actual, std::string consequence,
         model::Severity severity) {
  model::Finding finding =
      model::make_finding(FindingId::kDimmingUnfit, "light.level_at", std::move(expected), std::move(actual));
  finding.severity = severity;
  finding.consequence = std::move(consequence);
  findings.push_back(std::move(finding));
}

std::string asked(const model::Kit& kit) {
  return kit.settings.brightness ? phrase("At brightness ", to_text(*kit.settings.brightness))
                                 : std::string("Over its brightness");
}

void find_outside(Findings& findings, const model::Kit& kit, const Span& range) {
  const Span levels = levels_of(kit);
  const auto& [id, title] = std::pair{kit.board.about.id, kit.panel.about.id};
  if (range.max && *levels.max > *range.max) {
    add(findings, limits_text(range), to_text(*levels.max),
        phrase(asked(kit), " board ", id, " gives up to ", to_text(*levels.max), "; the dimming input of ",
               title, " takes ", limits_text(range), ": the driver's input is overdriven."),
        model::Severity::kFault);
  }
  if (range.min && *levels.min < *range.min) {
    add(findings, limits_text(range), to_text(*levels.min),
        phrase(asked(kit), " board ", id, " gives down to ", to_text(*levels.min), "; the dimming input of ",
               title, " takes ", limits_text(range), ": below it drivers switch off or flicker."),
        model::Severity::kWarning);
  }
}

// How much of the panel's range the board's covers, in parts per million.
PartsPerMillion reach(const Span& gives, const Span& takes) {
  const std::int64_t whole = (*takes.max - *takes.min).count;
  const std::int64_t covered = (std::min(*gives.max, *takes.max) - std::max(*gives.min, *takes.min)).count;
  return {whole <= 0 ? kFull.count : std::max<std::int64_t>(covered, 0) * kFull.count / whole};
}

void find_short(Findings& findings, const model::Kit& kit, const Span& range) {
  if (!range.min || !range.max) return;
  const Span gives{kit.board.light.level_at.begin()->second, {}, kit.board.light.level_at.rbegin()->second};
  const PartsPerMillion covered = reach(gives, range);
  if (covered >= kReachMin) return;
  add(findings, limits_text(range), limits_text(gives),
      phrase("Board ", kit.board.about.id, " gives ", limits_text(gives), ", ", to_text(covered),
             " of the range that the backlight of ", kit.panel.about.id, " takes, ", limits_text(range),
             ": it gets neither dark nor bright (80 % is common practice)."),
      model::Severity::kWarning);
}

}  // namespace

std::optional<Millivolts> level_at(const model::Kit& kit, PartsPerMillion brightness) {
  const auto& curve = kit.board.light.level_at;
  if (curve.empty()) return std::nullopt;
  const bool inverted = kit.panel.backlight.dimming.sense == model::DimmingSense::kLowIsBrighter;
  return on_curve(curve, inverted ? kFull - brightness : brightness);
}

void add_analogue_points(PointList& points, const model::Kit& kit) {
  const auto& light = kit.board.light;
  const auto& dimming = kit.panel.backlight.dimming;
  if (dimming.by != model::DimmingKind::kAnalogue || light.level_at.empty()) return;
  const Span levels = levels_of(kit);
  const Millivolts slack = slack_of(kit);
  const Millivolts low = std::max(*levels.min - slack, Millivolts{});
  std::string why = phrase("any brightness board ", kit.board.about.id, " can set, ",
                           limits_text(Span{levels.min, {}, levels.max}));
  if (const auto& brightness = kit.settings.brightness) {
    why = phrase("brightness ", to_text(*brightness), " makes ", to_text(*levels.nominal), " (",
                 cited(kit.board.about, {"light.level_at"}), "), ", to_text(dimming.sense), " (",
                 cited(kit.panel.about, {"backlight.dimming.sense"}), ")");
  }
  points.add(protocol::points::Point::kBacklightDimmingMv,
             levels.nominal ? std::optional(levels.nominal->count) : std::nullopt,
             {limit({low.count, {}, (*levels.max + slack).count}, FindingId::kDimmingLevel,
                    FindingId::kDimmingLevel)},
             phrase(why, "; ±", to_text(slack), ", 3 % of what the board spans, common practice"),
             {.uncertainty = {{}, light.level_uncertainty.count}, .needs_awake = true});
}

void find_analogue_faults(Findings& findings, const model::Kit& kit) {
  const auto& dimming = kit.panel.backlight.dimming;
  if (dimming.by != model::DimmingKind::kAnalogue) return;
  if (kit.board.light.level_at.empty()) {
    add(findings, limits_text(dimming.range), "none",
        phrase("The backlight of ", kit.panel.about.id, " is dimmed by a voltage of ",
               limits_text(dimming.range), "; board ", kit.board.about.id,
               " gives none (its file has no level_at): full light or none."),
        model::Severity::kFault);
    return;
  }
  find_outside(findings, kit, dimming.range);
  find_short(findings, kit, dimming.range);
}

}  // namespace host::expect
