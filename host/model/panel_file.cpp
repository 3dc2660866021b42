#include <algorithm>

#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

void read_glass(TableReader& table, Panel::Glass& glass) {
  table.must_pair("active", 'x', glass.width, glass.height, {.min = 1});
  table.must_pair("pixels", 'x', glass.columns, glass.lines, {.min = 1, .max = 32'767});
  table.must("shape", glass.shape, words_for<Shape>());
  table.must("unlit", glass.unlit, words_for<Unlit>());
}

void read_window(TableReader& table, Panel::Window& window) {
  int x = 0;
  int y = 0;
  table.must_whole("x", x, 0, 32'767);
  table.must_whole("y", y, 0, 32'767);
  window = {.x = {x}, .y = {y}};
}

void read_signal(TableReader& table, Panel::Signal& signal) {
  table.must_pair("raster", 'x', signal.raster_columns, signal.raster_lines, {.min = 1, .max = 32'767});
  Panel::Window window;
  if (table.may_table("window", [&](TableReader& reader) { read_window(reader, window); })) {
    signal.window = window;
  }
  table.must("pixel_clock", signal.pixel_clock);
  table.must("h_total", signal.h_total);
  table.must("v_total", signal.v_total);
  table.must("refresh", signal.refresh);
  table.must("sync", signal.sync, words_for<Sync>());
}

void read_lane_rate(TableReader& table, Panel::Link& link) {
  KilobitsPerSecond rate;
  table.must("rate", rate);
  if (rate.count == 0) return;
  const auto rates = edp_lane_rates();
  if (std::find(rates.begin(), rates.end(), rate) == rates.end()) {
    std::string list;
    for (const auto one : rates) list += (list.empty() ? "" : ", ") + to_text(one);
    table.complain("rate", "is " + to_text(rate) + ", which no lane has", "the rates: " + list);
  }
  link.lane_rate = rate;
}

void read_link(TableReader& table, Panel::Link& link) {
  table.must("kind", link.kind, words_for<LinkKind>());
  const bool edp = link.kind == LinkKind::kEdp;
  table.must_whole(edp ? "lanes" : "channels", link.channels, 1, 4);
  if (link.channels == 3) {
    table.complain(edp ? "lanes" : "channels", "is 3, which no link has", "write 1, 2 or 4");
  }
  if (edp) read_lane_rate(table, link);
  table.must("mapping", link.mapping, words_for<Mapping>());
  table.must_id("connector", link.connector);
}

void read_supply_window(TableReader& table, std::string_view key, Bounds<Millivolts>& window,
                        Millivolts& absolute_max) {
  table.must(key, window, kWholeWindow);
  table.must("absolute_max", absolute_max);
  if (window.max && absolute_max.count != 0 && absolute_max < *window.max) {
    table.complain("absolute_max", "is " + to_text(absolute_max) + ", below the " + to_text(*window.max) +
                                       " that '" + std::string(key) + "' allows");
  }
}

void read_supply(TableReader& table, Panel::Supply& supply) {
  read_supply_window(table, "voltage", supply.voltage, supply.absolute_max);
  table.must_table("current", [&](TableReader& current) {
    current.must("idle", supply.idle, kFromZero);
    current.must("black", supply.black);
    current.must("white", supply.white);
    current.must("worst", supply.worst);
    current.must("inrush", supply.inrush);
    for (const auto& [key, value] : {std::pair{"idle", supply.idle}, std::pair{"black", supply.black},
                                     std::pair{"white", supply.white}}) {
      if (supply.worst.count != 0 && value > supply.worst) {
        current.complain(key, "is " + to_text(value) + ", above the worst case of " + to_text(supply.worst));
      }
    }
  });
}

void read_enable(TableReader& table, Panel::Enable& enable) {
  table.must("on_above", enable.on_above);
  table.must("off_below", enable.off_below);
  table.may("max", enable.max);
  table.must("open", enable.open, words_for<OpenEnable>());
  if (enable.on_above.count != 0 && enable.off_below >= enable.on_above) {
    table.complain("off_below",
                   "is " + to_text(enable.off_below) + ", not below on_above, " + to_text(enable.on_above));
  }
  if (enable.max && *enable.max < enable.on_above) {
    table.complain("max", "is " + to_text(*enable.max) + ", below on_above, " + to_text(enable.on_above));
  }
}

void read_backlight(TableReader& table, Panel::Backlight& backlight) {
  table.may("kind", backlight.kind, words_for<LightKind>());
  read_supply_window(table, "supply", backlight.supply, backlight.absolute_max);
  table.must("power", backlight.power);
  table.must_table("enable", [&](TableReader& enable) { read_enable(enable, backlight.enable); });
  table.must_table("dimming", [&](TableReader& dimming) {
    dimming.must("by", backlight.dimming.by, words_for<DimmingKind>());
    dimming.must("sense", backlight.dimming.sense, words_for<DimmingSense>());
    if (backlight.dimming.by == DimmingKind::kAnalogue) {
      dimming.must("range", backlight.dimming.range, {.min = 0, .needs = Needs::kWindow});
      return;
    }
    dimming.must("frequency", backlight.dimming.frequency);
    dimming.must("duty", backlight.dimming.duty, kUpToWhole);
  });
  table.must_id("connector", backlight.connector);
}

void read_sequence(TableReader& table, Panel::Sequence& sequence) {
  table.must("supply_rise", sequence.supply_rise, kFromZero);
  table.must("supply_to_signal", sequence.supply_to_signal, kFromZero);
  table.must("signal_to_light", sequence.signal_to_light, kFromZero);
  table.must("light_to_no_signal", sequence.light_to_no_signal, kFromZero);
  table.must("rest", sequence.rest, kFromZero);
}

/// What is shown must be what the glass has, and lie inside the raster.
void check_window(TableReader& table, const Panel& panel) {
  const Pixels x = panel.signal.window ? panel.signal.window->x : Pixels{0};
  const Pixels y = panel.signal.window ? panel.signal.window->y : Pixels{0};
  const bool same =
      panel.glass.columns == panel.signal.raster_columns && panel.glass.lines == panel.signal.raster_lines;
  if (!panel.signal.window && !same) {
    table.complain("signal", "takes a raster that the glass doesn't have, and has no window",
                   "make them equal, or add window = { x = …, y = … }");
  }
  if (panel.signal.window && (x + panel.glass.columns > panel.signal.raster_columns ||
                              y + panel.glass.lines > panel.signal.raster_lines)) {
    table.complain("signal", "has a window that reaches beyond the raster", "move the window");
  }
}

/// An eDP link must carry the fastest picture the panel takes.
void check_payload(TableReader& table, const Panel& panel) {
  if (!panel.link.lane_rate) return;
  const auto clock =
      panel.signal.pixel_clock.max ? panel.signal.pixel_clock.max : panel.signal.pixel_clock.nominal;
  if (!clock) return;
  const KilobitsPerSecond needed{clock->count * bits_per_pixel(panel.link.mapping) / 1000};
  const KilobitsPerSecond carried = edp_payload(panel.link.channels, *panel.link.lane_rate);
  if (needed <= carried) return;
  table.complain(
      "panel_link",
      "carries " + to_text(carried) + " of pixels; " + to_text(*clock) + " of them need " + to_text(needed),
      "lanes x rate x 8/10 must reach pixel_clock x bits");
}

void check_family(TableReader& table, const Panel& panel, std::string_view key, const std::string& family) {
  std::vector<std::string_view> families;
  families.reserve(panel.connectors.size());
  for (const auto& connector : panel.connectors) families.push_back(connector.family);
  if (family.empty() || std::find(families.begin(), families.end(), family) != families.end()) return;
  table.complain(key, "names the connector class '" + family + "', which this panel doesn't have",
                 nearest_hint(family, families, "classes here"));
}

}  // namespace

Loaded<FromFile<Panel>> read_panel(const SourceFile& file) {
  return read_part<Panel>(file, [&](TableReader& table, Panel& panel) {
    read_about(table, file, panel.about);
    table.must_table("glass", [&](TableReader& glass) { read_glass(glass, panel.glass); });
    table.must_table("signal", [&](TableReader& signal) { read_signal(signal, panel.signal); });
    table.must_table("panel_link", [&](TableReader& link) { read_link(link, panel.link); });
    table.must_table("supply", [&](TableReader& supply) { read_supply(supply, panel.supply); });
    table.must_table("backlight", [&](TableReader& light) { read_backlight(light, panel.backlight); });
    table.must_table("sequence", [&](TableReader& sequence) { read_sequence(sequence, panel.sequence); });
    read_connectors(table, panel.connectors);
    if (panel.glass.columns.count != 0 && panel.signal.raster_columns.count != 0) check_window(table, panel);
    check_payload(table, panel);
    check_family(table, panel, "panel_link", panel.link.connector);
    check_family(table, panel, "backlight", panel.backlight.connector);
  });
}

}  // namespace host::model
