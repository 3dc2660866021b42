#include "host/expect/margins.hpp"

#include <algorithm>
#include <limits>

#include "host/expect/point_list.hpp"

namespace host::expect {
namespace {

model::Bounds<std::int64_t> in_kilohertz(const model::Bounds<model::Hertz>& window) {
  model::Bounds<std::int64_t> bounds;
  if (window.min) bounds.min = (window.min->count + 999) / 1000;
  if (window.max) bounds.max = window.max->count / 1000;
  return bounds;
}

}  // namespace

std::int64_t margin_permille(std::int64_t value, const model::Bounds<std::int64_t>& bounds) {
  std::int64_t distance = std::numeric_limits<std::int64_t>::max();
  if (bounds.min) distance = std::min(distance, value - *bounds.min);
  if (bounds.max) distance = std::min(distance, *bounds.max - value);
  const std::int64_t scaled = distance * 1000;
  return scaled / value - (scaled < 0 && scaled % value != 0 ? 1 : 0);
}

std::vector<Margin> margins(const model::Kit& kit, const model::Timing& timing, const PanelLink& link) {
  std::vector<Margin> result;
  const auto add = [&](std::string figure, std::string unit, std::string limit_of, std::int64_t value,
                       model::Bounds<std::int64_t> bounds) {
    bounds.nominal.reset();
    if (value <= 0 || (!bounds.min && !bounds.max)) return;
    result.push_back({std::move(figure), std::move(unit), std::move(limit_of), value, bounds,
                      margin_permille(value, bounds)});
  };
  const auto& panel = kit.panel.signal;
  const std::int64_t pixel_clock_khz = timing.pixel_clock.count / 1000;
  add("pixel_clock_khz", "kHz", "panel", pixel_clock_khz, in_kilohertz(panel.pixel_clock));
  add("h_total", "pixels", "panel", timing.h_total().count, counts(panel.h_total));
  add("v_total", "lines", "panel", timing.v_total().count, counts(panel.v_total));
  add("refresh_millihz", "mHz", "panel", timing.refresh().count, counts(panel.refresh));
  if (kit.board.link.kind == model::LinkKind::kLvds && kit.board.link.channel_clock_max.count > 0) {
    add("channel_clock_khz", "kHz", "board", link.channel_clock.count / 1000,
        {{}, {}, kit.board.link.channel_clock_max.count / 1000});
  }
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  if (input != kit.board.inputs.end()) {
    add("pixel_clock_khz", "kHz", "input", pixel_clock_khz, {{}, {}, input->pixel_clock_max.count / 1000});
  }
  return result;
}

}  // namespace host::expect
