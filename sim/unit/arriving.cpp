#include "sim/unit/arriving.hpp"

#include <algorithm>

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;

// DMT 04h: what every display takes.
constexpr model::Timing kFallback{{25'175'000},
                                  {640},
                                  {16},
                                  {96},
                                  {48},
                                  {480},
                                  {10},
                                  {2},
                                  {33},
                                  model::Polarity::kNegative,
                                  model::Polarity::kNegative,
                                  false};

template <typename Q>
std::int64_t typical(const model::Bounds<Q>& bounds, std::int64_t otherwise) {
  if (bounds.nominal) return bounds.nominal->count;
  if (bounds.min && bounds.max) return (bounds.min->count + bounds.max->count) / 2;
  if (bounds.min) return bounds.min->count;
  return bounds.max ? bounds.max->count : otherwise;
}

}  // namespace

model::Timing timing_of(const model::Panel& panel) {
  const model::Panel::Signal& signal = panel.signal;
  constexpr std::int64_t kBlankPixels = 160;
  constexpr std::int64_t kBlankLines = 30;
  constexpr std::int64_t kClockMhz60 = 60;
  const std::int64_t columns = signal.raster_columns.count, lines = signal.raster_lines.count;
  const std::int64_t h_blank =
      std::max<std::int64_t>(typical(signal.h_total, columns + kBlankPixels) - columns, 8);
  const std::int64_t v_blank =
      std::max<std::int64_t>(typical(signal.v_total, lines + kBlankLines) - lines, 3);
  model::Timing timing;
  timing.h_active = {columns};
  timing.h_sync = {h_blank / 4};
  timing.h_front = {h_blank / 4};
  timing.h_back = {h_blank - h_blank / 4 - h_blank / 4};
  timing.v_active = {lines};
  timing.v_front = {1};
  timing.v_sync = {1};
  timing.v_back = {v_blank - 2};
  timing.pixel_clock = {typical(signal.pixel_clock, (columns + h_blank) * (lines + v_blank) * kClockMhz60)};
  return timing;
}

Arriving arriving(const model::Kit& kit, const Wrongs& wrongs, const Plugged& plugged, std::size_t selected,
                  const std::optional<model::Panel>& edid_panel) {
  Arriving in;
  if (wrongs.acts(Kind::kHotplugLow)) in.hot_plug = false;
  if (!plugged.timing) return in;
  std::size_t input = plugged.input;
  if (wrongs.has(Kind::kWrongInput)) {
    input = (input + 1) % std::max<std::size_t>(kit.board.inputs.size(), 1);
    wrongs.count(Kind::kWrongInput);
  }
  if (input != selected) return in;
  in.cable = true;
  if (!in.hot_plug || wrongs.acts(Kind::kNoSignal)) return in;
  in.timing = plugged.timing;
  if (edid_panel && wrongs.acts(Kind::kEdidOf)) in.timing = timing_of(*edid_panel);
  if (wrongs.acts(Kind::kEdidCorrupt)) in.timing = kFallback;
  if (wrongs.acts(Kind::kSourceOutOfRange)) {
    in.timing = wrongs.argument<fault::NamedTiming>(Kind::kSourceOutOfRange).timing;
  }
  if (wrongs.acts(Kind::kSourceProtected)) in.scrambled = true;
  if (wrongs.acts(Kind::kColourSpace)) in.form = wrongs.argument<fault::ColourForm>(Kind::kColourSpace);
  return in;
}

}  // namespace sim::unit
