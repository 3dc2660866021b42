#include <algorithm>

#include "host/expect/functions.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::PartsPerMillion;
using model::Severity;
using protocol::points::Point;

// What a source's pixel clock and refresh may be off by: 0.5 %, common practice.
constexpr PartsPerMillion kClockTolerance{5000};

constexpr PointList::Manner kAwake{.needs_awake = true};

std::int64_t kilohertz(model::Hertz clock) {
  return (clock.count + 500) / 1000;
}

// A window of whole kilohertz that lies inside one of hertz.
model::Bounds<std::int64_t> kilohertz(const model::Bounds<model::Hertz>& window) {
  model::Bounds<std::int64_t> bounds;
  if (window.min) bounds.min = (window.min->count + 999) / 1000;
  if (window.max) bounds.max = window.max->count / 1000;
  return bounds;
}

void add_near(PointList& points, Point point, std::int64_t value, const std::string& why) {
  const std::int64_t half_width = share_of(model::Quantity<struct ReadingUnit>{value}, kClockTolerance).count;
  points.add(point, value,
             {limit({value - half_width, {}, value + half_width}, FindingId::kTimingDiffers,
                    FindingId::kTimingDiffers)},
             phrase(why, "; ±0.5 %, common practice"), kAwake);
}

void add_polarity(PointList& points, const model::Kit& kit, Point point, model::Polarity polarity) {
  const bool de_only = kit.panel.signal.sync == model::Sync::kDeOnly;
  const auto value = static_cast<std::int64_t>(polarity);
  points.add(point, value,
             {limit({value, {}, value}, FindingId::kTimingDiffers, FindingId::kTimingDiffers,
                    de_only ? Severity::kNote : Severity::kWarning)},
             de_only ? "as the timing has it; the panel looks at data enable only" : "as the timing has it",
             {.required = false, .needs_awake = true});
}

std::string timing_name(const model::Kit& kit) {
  const auto* name = std::get_if<std::string>(&kit.video.timing);
  return name != nullptr ? *name : std::string("the kit's timing");
}

void add_input(PointList& points, const model::Kit& kit, const model::Timing& timing) {
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  points.exactly(Point::kInputSelected, input - kit.board.inputs.begin(), FindingId::kWrongInput,
                 phrase("the kit uses ", kit.video.input), {});
  points.exactly(Point::kInputLocked, 1, FindingId::kNoLock, phrase("the source sends ", timing_name(kit)),
                 kAwake);
  const std::string why =
      phrase(timing_name(kit), ": ", timing.h_active.count, " of ", timing.h_total().count, " pixels, ",
             timing.v_active.count, " of ", timing.v_total().count, " lines");
  const auto exactly = [&](Point point, model::Pixels count) {
    points.exactly(point, count.count, FindingId::kTimingDiffers, why, kAwake);
  };
  exactly(Point::kInputHActive, timing.h_active);
  exactly(Point::kInputHTotal, timing.h_total());
  exactly(Point::kInputVActive, timing.v_active);
  exactly(Point::kInputVTotal, timing.v_total());
  add_near(points, Point::kInputPixelClockKhz, kilohertz(timing.pixel_clock),
           phrase(timing_name(kit), ": ", to_text(timing.pixel_clock)));
  add_near(points, Point::kInputRefreshMillihz, timing.refresh().count,
           phrase(timing_name(kit), ": ", to_text(timing.pixel_clock), " / (", timing.h_total().count, " x ",
                  timing.v_total().count, ")"));
  add_polarity(points, kit, Point::kInputHPolarity, timing.h_polarity);
  add_polarity(points, kit, Point::kInputVPolarity, timing.v_polarity);
  points.exactly(Point::kInputInterlaced, timing.interlaced ? 1 : 0, FindingId::kTimingDiffers, why, kAwake);
  points.exactly(Point::kInputColourForm, 0, FindingId::kColourForm,
                 "an EDID made for the kit offers RGB only, which every source can send", kAwake);
}

void add_link(PointList& points, const model::Kit& kit, const model::Timing& timing) {
  const model::Panel& panel = kit.panel;
  const auto source = [&](std::string_view figure) {
    return phrase(" (", cited(panel.about, {figure}), ")");
  };
  points.exactly(Point::kPanelLinkEnabled, 1, FindingId::kLinkOff, "a picture needs the link", kAwake);
  points.exactly(Point::kPanelLinkChannels, panel.link.channels, FindingId::kLinkChannels,
                 phrase("the panel has ", panel.link.channels,
                        panel.link.channels == 1 ? " channel" : " channels", source("panel_link.channels")),
                 kAwake);
  points.exactly(Point::kPanelLinkBits, bits_per_pixel(panel.link.mapping), FindingId::kLinkBits,
                 phrase("the panel takes ", to_text(panel.link.mapping), source("panel_link.mapping")),
                 kAwake);
  points.exactly(
      Point::kPanelLinkMapping, static_cast<std::int64_t>(panel.link.mapping), FindingId::kLinkMapping,
      phrase("the panel takes ", to_text(panel.link.mapping), source("panel_link.mapping")), kAwake);
  const std::string raster = phrase("the panel takes ", to_text(panel.signal.raster_columns), " x ",
                                    to_text(panel.signal.raster_lines), source("signal.raster"));
  points.exactly(Point::kPanelLinkRasterH, panel.signal.raster_columns.count, FindingId::kLinkRaster, raster,
                 kAwake);
  points.exactly(Point::kPanelLinkRasterV, panel.signal.raster_lines.count, FindingId::kLinkRaster, raster,
                 kAwake);
  points.add(Point::kPanelLinkPixelClockKhz, kilohertz(timing.pixel_clock),
             {limit(kilohertz(panel.signal.pixel_clock), FindingId::kLinkClock, FindingId::kLinkClock)},
             phrase("the panel takes ", limits_text(panel.signal.pixel_clock), source("signal.pixel_clock"),
                    "; the frame rate follows the source"),
             kAwake);
  points.exactly(Point::kPanelLinkPllLocked, 1, FindingId::kLinkUnlocked, "a picture needs the link's clock",
                 kAwake);
}

}  // namespace

void add_video_points(PointList& points, const model::Kit& kit, const model::Timing& timing) {
  add_input(points, kit, timing);
  add_link(points, kit, timing);
}

}  // namespace host::expect
