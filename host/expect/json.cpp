#include "host/expect/document.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/words.hpp"
#include "protocol/points/words.hpp"

namespace host::expect {
namespace {

using report::json::Value;

// Sets a bound only where there is one.
template <typename Q>
void set_bounds(Value& object, const std::string& stem, const model::Bounds<Q>& bounds,
                std::int64_t divisor = 1) {
  if (bounds.min) object.set(stem + "_min", bounds.min->count / divisor);
  if (bounds.nominal) object.set(stem + "_nominal", bounds.nominal->count / divisor);
  if (bounds.max) object.set(stem + "_max", bounds.max->count / divisor);
}

Value positions_json(const model::Strap& strap, const std::vector<model::Position>& positions) {
  Value::Array texts;
  for (const model::Position position : positions) texts.emplace_back(to_text(strap, position));
  return texts;
}

Value strap_json(const model::Kit& kit, const Expectation& expectation, const ExpectedStrap& expected,
                 const JointPosition& given) {
  const model::Strap& strap = kit.board.straps[expected.strap];
  Value object;
  object.set("id", strap.id);
  Value::Array functions;
  for (const model::FunctionId id : expected.functions) functions.emplace_back(to_text(id));
  object.set("functions", std::move(functions));
  if (!expected.accepted.empty()) object.set("position", to_text(strap, expected.position));
  if (expected.strap < given.size() && given[expected.strap]) {
    object.set("given", to_text(strap, *given[expected.strap]));
  }
  object.set("accepted", positions_json(strap, expected.accepted));
  object.set("positions", positions_json(strap, positions(strap)));
  object.set("evidence_possible", evidence_possible(kit, expectation, expected));
  object.set("required", expected.required);
  return object;
}

Value point_json(const ExpectedPoint& expected) {
  const auto& words = protocol::points::words(expected.point);
  Value object;
  object.set("point", words.name);
  if (!expected.text.empty()) object.set("text", expected.text);
  if (expected.bounds.min) object.set("min", *expected.bounds.min);
  if (expected.bounds.nominal) object.set("nominal", *expected.bounds.nominal);
  if (expected.bounds.max) object.set("max", *expected.bounds.max);
  if (expected.bounds.nominal && !words.choices.empty()) {
    object.set("choice", protocol::points::choice(expected.point, *expected.bounds.nominal));
  }
  object.set("quantity_unit", words.unit);
  object.set("required", expected.required);
  object.set("why", expected.why);
  return object;
}

Value link_json(const PanelLink& link) {
  Value object;
  object.set("channels", link.channels);
  object.set("channel_clock_khz", link.channel_clock.count / 1000);
  object.set("bit_rate_kbps", link.bit_rate_kbps);
  object.set("bits", link.bits);
  object.set("mapping", to_text(link.mapping));
  return object;
}

Value timing_json(const model::Timing& timing) {
  Value object;
  object.set("pixel_clock_khz", timing.pixel_clock.count / 1000);
  object.set("h_active", timing.h_active.count);
  object.set("h_total", timing.h_total().count);
  object.set("v_active", timing.v_active.count);
  object.set("v_total", timing.v_total().count);
  object.set("refresh_millihz", timing.refresh().count);
  return object;
}

Value source_json(const SourceView& source) {
  Value object;
  object.set("edid", origin_text(source));
  object.set("rule", to_text(source.choice.rule));
  object.set("chosen", source.choice.name);
  object.set("timing", timing_json(source.choice.timing));
  object.set("why", source.choice.why);
  Value::Array passed_over;
  for (const std::string& one : source.choice.passed_over) passed_over.emplace_back(one);
  if (!passed_over.empty()) object.set("passed_over", std::move(passed_over));
  Value::Array also_possible;
  for (const model::Timing& one : source.choice.also_possible) also_possible.push_back(timing_json(one));
  if (!also_possible.empty()) object.set("also_possible", std::move(also_possible));
  Value::Array refused;
  for (const std::string& one : source.refused) refused.emplace_back(one);
  if (!refused.empty()) object.set("refused", std::move(refused));
  return object;
}

Value window_json(const Rectangle& window) {
  Value object;
  object.set("x", window.x.count);
  object.set("y", window.y.count);
  object.set("width", window.width.count);
  object.set("height", window.height.count);
  return object;
}

Value supply_json(const SupplyNeed& supply) {
  Value object;
  object.set("voltage_mv", supply.voltage.count);
  object.set("current_ma", supply.current.count);
  object.set("power_mw", supply.power.count);
  object.set("recommended_power_mw", supply.recommended_power.count);
  object.set("idle_mw", supply.idle.count);
  object.set("black_mw", supply.black.count);
  object.set("white_mw", supply.white.count);
  object.set("panel_inrush_ma", supply.panel_inrush.count);
  if (supply.fuse_load.count > 0) object.set("fuse_load_permille", (supply.fuse_load.count + 999) / 1000);
  object.set("why", supply.why);
  return object;
}

void set_dimming(Value& object, const BacklightNeed& light) {
  if (light.frequency_chosen.count <= 0) return;
  object.set("pwm_chosen_hz", light.frequency_chosen.count);
  if (light.steps) {
    object.set("pwm_steps", *light.steps);
    object.set("pwm_bits", bits_of(*light.steps));
  }
  if (light.shortest_pulse_ns > 0) object.set("pwm_shortest_pulse_ns", light.shortest_pulse_ns);
  object.set("pwm_beat_millihz", light.beat.count);
  object.set("ieee_1789", to_text(light.flicker));
}

Value drop_json(const CableDrop& drop) {
  Value object;
  object.set("cable", drop.cable);
  object.set("net", drop.net);
  object.set("current_ma", drop.current.count);
  object.set("resistance_uohm", drop.resistance.count);
  object.set("drop_mv", drop.drop.count);
  object.set("at_load_mv_min", drop.at_load_min.count);
  object.set("load_mv_min", drop.load_min.count);
  object.set("why", drop.why);
  return object;
}

Value margin_json(const Margin& margin) {
  Value object;
  object.set("figure", margin.figure);
  object.set("quantity_unit", margin.unit);
  object.set("limit_of", margin.limit_of);
  object.set("value", margin.value);
  if (margin.bounds.min) object.set("min", *margin.bounds.min);
  if (margin.bounds.max) object.set("max", *margin.bounds.max);
  object.set("margin_permille", margin.permille);
  return object;
}

Value backlight_json(const model::Kit& kit, const BacklightNeed& light) {
  Value object;
  object.set("supply_mv", light.supply.count);
  object.set("enable_on_above_mv", light.enable_on_above.count);
  object.set("sense", to_text(light.sense));
  if (kit.panel.backlight.dimming.by == model::DimmingKind::kPwm) {
    set_bounds(object, "pwm_frequency_hz", light.frequency);
    set_bounds(object, "pwm_duty_permille", light.duty, 1000);
    if (light.duty_expected) object.set("pwm_duty_permille", (light.duty_expected->count + 500) / 1000);
    set_dimming(object, light);
  } else {
    set_bounds(object, "dimming_mv", light.level);
    if (light.level_expected) object.set("dimming_mv", light.level_expected->count);
  }
  return object;
}

// The panel's limits; beside them what the board gives.
Value sequence_json(const SequenceNeed& sequence) {
  Value object;
  for (const Interval& interval : sequence.intervals)
    set_bounds(object, interval.name + "_us", interval.takes);
  for (const Interval& interval : sequence.intervals) {
    if (interval.gives) set_bounds(object, "board_" + interval.name + "_us", *interval.gives);
  }
  if (sequence.keeps_at_loss) object.set("at_loss", *sequence.keeps_at_loss ? "in-order" : "at-once");
  return object;
}

bool is_empty(const Value& value) {
  const auto* members = std::get_if<Value::Object>(&value.data());
  return members != nullptr && members->empty();
}

Value expectation_json(const model::Kit& kit, const Expectation& expectation, const JointPosition& given) {
  Value object;
  Value::Array straps;
  for (const ExpectedStrap& strap : expectation.straps)
    straps.push_back(strap_json(kit, expectation, strap, given));
  object.set("straps", std::move(straps));
  Value::Array points;
  for (const ExpectedPoint& point : expectation.points) points.push_back(point_json(point));
  object.set("points", std::move(points));
  object.set("panel_link", link_json(expectation.link));
  object.set("timing", timing_json(expectation.timing));
  object.set("source", source_json(expectation.source));
  if (expectation.window) object.set("window", window_json(*expectation.window));
  object.set("supply", supply_json(expectation.supply));
  object.set("backlight", backlight_json(kit, expectation.backlight));
  Value sequence = sequence_json(expectation.sequence);
  if (!is_empty(sequence)) object.set("sequence", std::move(sequence));
  Value::Array drops;
  for (const CableDrop& drop : expectation.drops) drops.push_back(drop_json(drop));
  object.set("cable_drops", std::move(drops));
  Value::Array margins;
  for (const Margin& margin : expectation.margins) margins.push_back(margin_json(margin));
  object.set("margins", std::move(margins));
  return object;
}

}  // namespace

Value kit_json(const model::Kit& kit) {
  Value object;
  object.set("id", kit.about.id);
  object.set("title", kit.about.title);
  object.set("revision", kit.about.revision);
  if (!kit.digest.empty()) object.set("digest", kit.digest);
  return object;
}

Value finding_json(const model::Finding& finding) {
  Value object;
  object.set("id", model::kind_of(finding.id).name);
  object.set("severity", to_text(finding.severity));
  object.set("subject", finding.subject);
  object.set("expected", finding.expected);
  object.set("actual", finding.actual);
  object.set("consequence", finding.consequence);
  object.set("remedy", finding.remedy);
  return object;
}

Value to_json(const model::Kit& kit, const Expectation& expectation, const JointPosition& given) {
  const PaperJudgement judgement = judge_on_paper(kit, expectation, given);
  Value document;
  document.set("schema", "strapline/check/1");
  document.set("kit", kit_json(kit));
  document.set("verdict", judgement.fails ? "fail" : "pass");
  document.set("danger", judgement.danger);
  document.set("expectation", expectation_json(kit, expectation, given));
  Value::Array findings;
  for (const model::Finding& finding : judgement.findings) findings.push_back(finding_json(finding));
  document.set("findings", std::move(findings));
  return document;
}

}  // namespace host::expect
