#include "sim/eye/unit_scene.hpp"

#include <algorithm>
#include <cmath>

#include "sim/eye/unit_light.hpp"
#include "sim/eye/wiring.hpp"
#include "sim/unit/edids.hpp"

namespace sim::eye {
namespace {

namespace model = host::model;
using fault::Kind;
using unit::Unit;

constexpr int kBlankColumns = 160;                            // of what the scaler makes: VESA CVT 1.2, 5.4
constexpr int kUsualBlankColumns = 80, kUsualBlankLines = 6;  // least of a panel that says none
// Bits on a bad contact: none that anyone notices at rest, and while it is moved one pixel in three hundred.
constexpr double kFlipsAtRest = 1e-9, kFlipsTouched = 1.5e-4;

constexpr double kResidueSteps = 20;  // coarser than it fades from one look to the next

int whole(model::Pixels pixels) {
  return static_cast<int>(pixels.count);
}

Panel panel_of(const model::Kit& kit) {
  const model::Panel& from = kit.panel;
  Panel panel;
  panel.columns = whole(from.signal.raster_columns);
  panel.lines = whole(from.signal.raster_lines);
  // A panel that doesn't say what its glass shows shows all of its raster.
  panel.width = from.glass.columns.count > 0 ? whole(from.glass.columns) : panel.columns;
  panel.height = from.glass.lines.count > 0 ? whole(from.glass.lines) : panel.lines;
  if (from.signal.window) {
    panel.x = whole(from.signal.window->x);
    panel.y = whole(from.signal.window->y);
  }
  panel.round = from.glass.shape == model::Shape::kCircle;
  panel.shows_white = from.glass.unlit == model::Unlit::kWhite;
  panel.syncs = from.signal.sync == model::Sync::kSyncs;
  panel.channels = from.link.channels;
  panel.mapping = from.link.mapping;
  panel.clock = from.signal.pixel_clock;
  panel.h_total = from.signal.h_total;
  panel.v_total = from.signal.v_total;
  panel.refresh = from.signal.refresh;
  panel.title = kit.about.id + " " + std::to_string(panel.width) + " x " + std::to_string(panel.height);
  return panel;
}

// Of a mapping strap that selects nothing: the transmitter's pins rest where its first row has them.
model::Mapping resting_mapping(const model::Kit& kit) {
  if (const model::Function* function = kit.board.function(model::FunctionId::kBitMapping)) {
    for (const model::FunctionRow& row : function->rows) {
      if (const auto* mapping = std::get_if<model::Mapping>(&row.value)) return *mapping;
    }
  }
  return kit.board.link.mapping.value_or(kit.panel.link.mapping);
}

Driven driven_of(const model::Kit& kit, const unit::LinkSignal& signal) {
  const model::Timing& source = signal.frames;
  Driven driven;
  driven.columns = whole(signal.raster.columns);
  driven.lines = whole(signal.raster.lines);
  driven.hertz = static_cast<double>(signal.pixel_clock.count);
  driven.channels = std::max(signal.channels, 1);
  driven.bits = signal.bits / 3;
  driven.mapping = signal.mapping.value_or(resting_mapping(kit));
  const bool as_it_comes = source.h_active == signal.raster.columns && source.v_active == signal.raster.lines;
  if (as_it_comes) {
    driven.h_total = whole(source.h_total());
    driven.v_total = whole(source.v_total());
    return driven;
  }
  // The scaler knows its panel: of the blanking that comes to this clock it takes what the panel allows.
  const model::Panel::Signal& panel = kit.panel.signal;
  const bool panels_own =
      signal.raster.columns == panel.raster_columns && signal.raster.lines == panel.raster_lines;
  const auto allowed = [&](int total, const model::Bounds<model::Pixels>& bounds) {
    if (panels_own && bounds.min) total = std::max(total, whole(*bounds.min));
    if (panels_own && bounds.max) total = std::min(total, whole(*bounds.max));
    return total;
  };
  driven.h_total = allowed(driven.columns + kBlankColumns, panel.h_total);
  const double line_hertz = driven.hertz / driven.h_total;
  const double refresh = static_cast<double>(source.refresh().count) / 1'000;
  const int v_total = refresh > 0 ? static_cast<int>(std::lround(line_hertz / refresh)) : driven.lines;
  driven.v_total = allowed(v_total, panel.v_total);
  return driven;
}

// What the link sends or sent last; where there is none, what it would send of the kit's own source.
Driven driven_now(const Unit& unit) {
  const model::Kit& kit = unit.kit();
  if (const auto& link = unit.firmware().link()) return driven_of(kit, *link);
  const model::Panel& panel = kit.panel;
  const unit::Selections& straps = unit.firmware().straps();
  const model::RasterRow row{panel.signal.raster_columns, panel.signal.raster_lines, panel.link.channels,
                             model::bits_per_pixel(panel.link.mapping)};
  return driven_of(kit, unit::link_signal(kit.board.link, straps.raster.value_or(row), straps.mapping,
                                          unit::wanted_timing(kit)));
}

// Half of the blanking that the panel needs at least.
void shorten_blanking(Scene& scene) {
  const auto least_columns =
      scene.panel.h_total.min.value_or(model::Pixels{scene.panel.columns + kUsualBlankColumns});
  const auto least_lines =
      scene.panel.v_total.min.value_or(model::Pixels{scene.panel.lines + kUsualBlankLines});
  scene.panel.h_total.min = least_columns;
  scene.panel.v_total.min = least_lines;
  scene.driven.h_total = scene.driven.columns + (whole(least_columns) - scene.panel.columns) / 2;
  scene.driven.v_total = scene.driven.lines + (whole(least_lines) - scene.panel.lines) / 2;
}

Source source_of(const Unit& unit) {
  const model::Timing wanted = unit::wanted_timing(unit.kit());
  const model::Timing sent = unit.firmware().source().value_or(wanted);
  const unit::Arriving& in = unit.receiver().in();
  Source source;
  if (in.scrambled) source.content = Content::kBlack;
  source.form = in.form;
  source.columns = whole(sent.h_active);
  source.lines = whole(sent.v_active);
  source.wanted_columns = whole(wanted.h_active);
  source.wanted_lines = whole(wanted.v_active);
  if (unit.firmware().message()) {
    // Its words stand in the panel's raster, whatever the source sends.
    source.content = Content::kMessage;
    source.words = in.timing && !unit.receiver().next() ? "OUT OF RANGE" : "NO SIGNAL";
    source.form = fault::ColourForm::kRgb;
    source.columns = source.wanted_columns = whole(unit.kit().panel.signal.raster_columns);
    source.lines = source.wanted_lines = whole(unit.kit().panel.signal.raster_lines);
  }
  return source;
}

Wires wires_of(const Unit& unit) {
  const unit::Wrongs& wrongs = unit.wrongs();
  Wires wires;
  wires.lanes = unit.kit().panel.link.kind == model::LinkKind::kEdp;
  if (wires.lanes) {
    wires.lanes_whole = !wrongs.has(Kind::kPanelPairOpen) && !wrongs.has(Kind::kPanelPairReversed);
  } else {
    wires.path = wired(unit.kit(), wrongs);
  }
  if (wrongs.has(Kind::kPanelCableMarginal)) {
    wires.flips = kFlipsAtRest;
    wires.flips_touched = kFlipsTouched;
  }
  return wires;
}

// Its voltages for the glass follow the rail where its electronics still run below their window.
double bias_of(const Unit& unit) {
  if (unit.wrongs().has(Kind::kPanelBiasDead)) return 0;
  const auto least = unit.kit().panel.supply.voltage.min;
  if (!least || least->count <= 0 || !unit.circuit().panel().running()) return 1;
  constexpr double kGoneAt = 0.9;
  const double share = unit.circuit().levels().panel_mv / static_cast<double>(least->count);
  return std::clamp((share - kGoneAt) / (1 - kGoneAt), 0.01, 1.0);
}

bool scanned_back(const Unit& unit) {
  bool reversed = unit.wrongs().has(Kind::kScanDirectionReversed);
  if (const model::Function* function = unit.kit().board.function(model::FunctionId::kScanDirection)) {
    const auto selected = unit::evaluate(unit.kit().board, *function, unit.setup().straps);
    const auto* way = selected.value ? std::get_if<model::ScanDirection>(&*selected.value) : nullptr;
    if (way != nullptr && *way == model::ScanDirection::kReversed) reversed = !reversed;
  }
  return reversed;
}

Glass glass_of(const Unit& unit) {
  const unit::Wrongs& wrongs = unit.wrongs();
  Glass glass;
  glass.running = unit.circuit().panel().running() && !unit.circuit().panel().damaged() &&
                  !wrongs.has(Kind::kPanelLogicDead);
  glass.bias = bias_of(unit);
  glass.reversed = scanned_back(unit);
  glass.line_open = wrongs.has(Kind::kPanelLineOpen);
  glass.residue = std::floor(unit.history().residue(unit.now()) * kResidueSteps) / kResidueSteps;
  glass.degrees = unit.ambient_degrees();
  return glass;
}

}  // namespace

Scene scene_of(const Unit& unit) {
  Scene scene;
  scene.source = source_of(unit);
  scene.panel = panel_of(unit.kit());
  scene.data = unit.circuit().video() != unit::Video::kNone;
  scene.driven = driven_now(unit);
  if (scene.data && unit.wrongs().has(Kind::kPanelBlankingShort)) shorten_blanking(scene);
  scene.wires = wires_of(unit);
  scene.glass = glass_of(unit);
  scene.light = light_of(unit);
  return scene;
}

}  // namespace sim::eye
