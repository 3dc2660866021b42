#include <algorithm>

#include "host/expect/curve.hpp"
#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::PartsPerMillion;
using protocol::points::Point;

// What a duty may be off by before the eye or an instrument calls it another brightness: 3 % of full scale,
// common practice.
constexpr std::int64_t kDutySlackPermille = 30;

// Brightness levels are kept in permille; a curve in hardware has steps of a few.
constexpr std::int64_t kLevelSlackPermille = 5;

constexpr std::int64_t kFullPermille = 1000;

std::int64_t permille(PartsPerMillion share) {
  return (share.count + 500) / 1000;
}

// Rounded up, as an uncertainty must be.
std::int64_t permille_up(PartsPerMillion share) {
  return (share.count + 999) / 1000;
}

void add_enable(PointList& points, const model::Kit& kit, const std::vector<ExpectedFunction>& functions) {
  const auto& enable = kit.panel.backlight.enable;
  auto level = kit.board.light.enable_high;
  if (const auto strapped = chosen_voltage(functions, model::FunctionId::kLightEnable)) level = strapped;
  std::vector<Limit> limits = {
      limit({enable.on_above.count, {}, {}}, FindingId::kEnableLow, FindingId::kEnableLow)};
  if (enable.max) {
    limits.push_back(limit({{}, {}, enable.max->count}, FindingId::kEnableHigh, FindingId::kEnableHigh));
  }
  points.add(Point::kBacklightEnableMv, level ? std::optional(level->count) : std::nullopt, limits,
             phrase("the driver is on above ", to_text(enable.on_above), ", off below ",
                    to_text(enable.off_below), enable.max ? phrase(", and bears ", to_text(*enable.max)) : "",
                    " (", cited(kit.panel.about, {"backlight.enable"}), ")"),
             {.uncertainty = {{}, kit.board.light.enable_uncertainty.count}, .needs_awake = true});
}

void add_brightness(PointList& points, const model::Kit& kit) {
  if (!kit.settings.brightness) return;
  const std::int64_t level = permille(*kit.settings.brightness);
  const std::string why = phrase("the kit asks for ", to_text(*kit.settings.brightness));
  const Limit near = limit({std::max<std::int64_t>(level - kLevelSlackPermille, 0),
                            {},
                            std::min(level + kLevelSlackPermille, kFullPermille)},
                           FindingId::kBrightness, FindingId::kBrightness);
  points.add(Point::kBacklightLevelCommandedPermille, level, {near}, why, {.needs_awake = true});
  points.add(Point::kBacklightLevelEffectivePermille, level, {near}, why, {.needs_awake = true});
}

// Duties the dimming line can have at all when the kit leaves the brightness open, or those round the one it
// asks for. A limit at an end of the scale is none.
model::Bounds<std::int64_t> duty_bounds(const model::Kit& kit) {
  std::int64_t low = permille(duty_at(kit, {0}));
  std::int64_t high = permille(duty_at(kit, {1'000'000}));
  if (low > high) std::swap(low, high);
  if (kit.settings.brightness) low = high = permille(duty_at(kit, *kit.settings.brightness));
  model::Bounds<std::int64_t> bounds;
  if (low - kDutySlackPermille > 0) bounds.min = low - kDutySlackPermille;
  if (high + kDutySlackPermille < kFullPermille) bounds.max = high + kDutySlackPermille;
  return bounds;
}

void add_dimming(PointList& points, const model::Kit& kit) {
  const auto& dimming = kit.panel.backlight.dimming;
  if (dimming.by != model::DimmingKind::kPwm) return;
  const auto& light = kit.board.light;
  std::optional<std::int64_t> duty;
  if (kit.settings.brightness) duty = permille(duty_at(kit, *kit.settings.brightness));
  // A line that never changes has no frequency.
  const bool has_edges = !duty || (*duty > 0 && *duty < kFullPermille);
  points.add(Point::kBacklightPwmFrequencyHz, pwm_frequency(kit).count,
             {limit(counts(dimming.frequency), FindingId::kPwmFrequency, FindingId::kPwmFrequency)},
             phrase("the driver takes ", limits_text(dimming.frequency), " (",
                    cited(kit.panel.about, {"backlight.dimming.frequency"}), ")",
                    has_edges ? "" : "; at this brightness the line has no edges"),
             {.uncertainty = {light.frequency_uncertainty, 0}, .required = has_edges, .needs_awake = true});
  std::string why = "any brightness the board can set";
  if (duty) {
    why = phrase("brightness ", to_text(*kit.settings.brightness), " makes a duty of ", *duty, " permille (",
                 cited(kit.board.about, {"light.duty_at"}), "), ", to_text(dimming.sense), " (",
                 cited(kit.panel.about, {"backlight.dimming.sense"}), "); ±", kDutySlackPermille,
                 " permille, common practice");
  }
  points.add(Point::kBacklightPwmDutyPermille, duty,
             {limit(duty_bounds(kit), FindingId::kPwmDuty, FindingId::kPwmDuty)}, std::move(why),
             {.uncertainty = {{}, permille_up(light.duty_uncertainty)}, .needs_awake = true});
}

}  // namespace

PartsPerMillion duty_at(const model::Kit& kit, PartsPerMillion brightness) {
  const auto& curve = kit.board.light.duty_at;
  const PartsPerMillion duty = curve.empty() ? brightness : on_curve(curve, brightness);
  const bool inverted = kit.panel.backlight.dimming.sense == model::DimmingSense::kLowIsBrighter;
  return inverted ? PartsPerMillion{1'000'000} - duty : duty;
}

model::Hertz pwm_frequency(const model::Kit& kit) {
  return kit.settings.pwm_frequency.value_or(kit.board.light.pwm);
}

void add_light_points(PointList& points, const model::Kit& kit,
                      const std::vector<ExpectedFunction>& functions) {
  add_enable(points, kit, functions);
  add_brightness(points, kit);
  add_dimming(points, kit);
  add_analogue_points(points, kit);
}

}  // namespace host::expect
