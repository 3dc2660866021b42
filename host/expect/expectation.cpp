#include "host/expect/expectation.hpp"

#include <algorithm>

#include "host/expect/budget.hpp"
#include "host/expect/cable_drop.hpp"
#include "host/expect/functions.hpp"
#include "host/expect/margins.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"
#include "host/expect/rail_plan.hpp"
#include "host/expect/sequence.hpp"
#include "host/expect/straps.hpp"
#include "host/signal/find_timing.hpp"
#include "host/signal/lvds.hpp"

namespace host::expect {
namespace {

model::FileErrors file_error(const model::Kit& kit, std::string what, std::string remedy) {
  model::FileError error;
  error.path = kit.about.path;
  error.place = kit.video.timing_place;
  error.what = std::move(what);
  error.remedy = std::move(remedy);
  return {std::move(error)};
}

model::Loaded<model::Timing> timing_of(const model::Kit& kit) {
  if (const auto* figures = std::get_if<model::Timing>(&kit.video.timing)) return *figures;
  const std::string& name = std::get<std::string>(kit.video.timing);
  const auto timing = signal::find_timing(name);
  if (!timing) return tl::unexpected(file_error(kit, phrase("unknown timing '", name, "'"), timing.error()));
  return *timing;
}

PanelLink panel_link(const model::Kit& kit, const model::Timing& timing) {
  PanelLink link;
  link.channels = kit.panel.link.channels;
  link.channel_clock = signal::link_clock(timing.pixel_clock, std::max(link.channels, 1));
  link.bit_rate_kbps = signal::bit_rate_kbps(link.channel_clock);
  // A lane of eDP runs at a rate of its own, whatever the pixels need of it.
  if (kit.panel.link.kind == model::LinkKind::kEdp) {
    link.bit_rate_kbps = kit.panel.link.lane_rate.value_or(model::KilobitsPerSecond{}).count;
  }
  link.bits = bits_per_pixel(kit.panel.link.mapping);
  link.mapping = kit.panel.link.mapping;
  return link;
}

std::optional<Rectangle> window(const model::Panel& panel) {
  if (!panel.signal.window) return std::nullopt;
  return Rectangle{panel.signal.window->x, panel.signal.window->y, panel.glass.columns, panel.glass.lines};
}

void add_dimming_figures(BacklightNeed& need, const model::Kit& kit, model::Millihertz refresh) {
  need.frequency_chosen = pwm_frequency(kit);
  if (need.frequency_chosen.count <= 0) return;
  if (kit.board.light.pwm_clock) need.steps = pwm_steps(*kit.board.light.pwm_clock, need.frequency_chosen);
  need.shortest_pulse_ns = shortest_pulse_ns(need.frequency_chosen, duty_at(kit, {0}));
  if (refresh.count > 0) need.beat = beat(need.frequency_chosen, refresh);
  need.flicker = flicker_region(need.frequency_chosen);
}

BacklightNeed backlight(const model::Kit& kit, const std::vector<ExpectedFunction>& functions,
                        model::Millihertz refresh) {
  const auto& light = kit.panel.backlight;
  BacklightNeed need;
  need.supply = light.supply.nominal.value_or(light.supply.min.value_or(model::Millivolts{}));
  if (const model::Rail* rail = kit.board.rail(model::RailId::kLight)) {
    const auto voltage = rail_voltage(kit, *rail, chosen_voltage(functions, model::FunctionId::kLightSupply));
    if (voltage) need.supply = voltage->nominal;
  }
  need.enable_on_above = light.enable.on_above;
  need.sense = light.dimming.sense;
  need.frequency = light.dimming.frequency;
  need.duty = light.dimming.duty;
  const bool by_pwm = light.dimming.by == model::DimmingKind::kPwm;
  if (by_pwm && kit.settings.brightness) need.duty_expected = duty_at(kit, *kit.settings.brightness);
  if (by_pwm) add_dimming_figures(need, kit, refresh);
  if (!by_pwm) {
    need.level = light.dimming.range;
    if (kit.settings.brightness) need.level_expected = level_at(kit, *kit.settings.brightness);
  }
  return need;
}

}  // namespace

std::int64_t Uncertainty::at(std::int64_t reading) const {
  const std::int64_t size = reading < 0 ? -reading : reading;
  return (size * of_reading.count + 999'999) / 1'000'000 + absolute;
}

model::Loaded<Expectation> derive(const model::Kit& kit) {
  const auto timing = timing_of(kit);
  if (!timing) return tl::unexpected(timing.error());
  if (std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id) ==
      kit.board.inputs.end()) {
    return tl::unexpected(
        file_error(kit, phrase("the board has no input '", kit.video.input, "'"), "name one of its inputs"));
  }
  Expectation expectation;
  expectation.functions = expected_functions(kit);
  expectation.straps = solve(kit.board, expectation.functions);
  expectation.timing = *timing;
  expectation.link = panel_link(kit, *timing);
  expectation.window = window(kit.panel);
  expectation.supply = supply_need(kit, expectation.functions);
  expectation.backlight = backlight(kit, expectation.functions, timing->refresh());
  expectation.sequence = sequence_need(kit);
  expectation.drops = cable_drops(kit, expectation.functions);
  expectation.margins = margins(kit, expectation.timing, expectation.link);

  PointList points(kit.board);
  add_unit_points(points, kit);
  add_rail_points(points, kit, expectation.functions);
  add_light_points(points, kit, expectation.functions);
  add_video_points(points, kit, *timing);
  add_sequence_points(points, kit);
  expectation.points = points.take();

  find_unserved(expectation.findings, kit, expectation);
  find_supply_faults(expectation.findings, kit, expectation);
  find_signal_faults(expectation.findings, kit, expectation);
  if (auto told = find_source_faults(expectation, kit); !told) return tl::unexpected(told.error());
  find_cable_faults(expectation.findings, kit);
  find_net_faults(expectation.findings, kit, expectation);
  find_sequence_faults(expectation.findings, kit, expectation);
  find_unreleased(expectation.findings, kit);
  sort_by_severity(expectation.findings);
  return expectation;
}

}  // namespace host::expect

template class std::vector<host::expect::ExpectedStrap>;
template class std::vector<host::expect::ExpectedPoint>;
template class std::vector<host::expect::Limit>;
template class std::vector<host::expect::Margin>;
