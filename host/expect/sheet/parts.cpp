#include "host/expect/phrases.hpp"
#include "host/expect/sheet/sections.hpp"
#include "host/model/words.hpp"

namespace host::expect::sheet {
namespace {

using report::Table;
using report::Tone;

// "12 V, 10.8..13.2 V": the typical value ahead of its limits, where both are told.
template <typename Q>
std::string told(const model::Bounds<Q>& bounds) {
  if (!bounds.nominal) return bounds.min || bounds.max ? limits_text(bounds) : std::string();
  if (!bounds.min && !bounds.max) return to_text(*bounds.nominal);
  return phrase(to_text(*bounds.nominal), " (", limits_text(bounds), ")");
}

std::string counts(const model::Bounds<model::Pixels>& bounds) {
  const auto number = [](const std::optional<model::Pixels>& count) {
    return count ? std::to_string(count->count) : std::string("-");
  };
  return phrase(number(bounds.min), " / ", number(bounds.nominal), " / ", number(bounds.max));
}

std::string link_text(const model::Panel::Link& link) {
  return phrase(model::word_for(link.kind), ", ", link.channels,
                link.kind == model::LinkKind::kEdp ? (link.channels == 1 ? " lane, " : " lanes, ")
                                                   : (link.channels == 1 ? " channel, " : " channels, "),
                to_text(link.mapping), ", ", bits_per_pixel(link.mapping), " bit");
}

}  // namespace

void add_cautions(report::Document& sheet, const model::Kit& kit) {
  FactTable table;
  table.row("Supply off",
            "Before any strap, switch, cable or connector is touched: supply off and pulled, "
            "indicator dark, then wait ten seconds more.");
  table.row("Rail", phrase("Panel ", kit.panel.about.id, " is destroyed above ",
                           to_text(kit.panel.supply.absolute_max),
                           ". Check the straps twice before it is plugged in."));
  table.row("Light", phrase("Backlight and lamp drivers work at voltages that hurt, far above the ",
                            told(kit.panel.backlight.supply),
                            " they are fed with. Never plug, pull or bare a light cable under power."));
  table.row("Static", "Wear an earthed wrist strap; hold boards by their edges, panels by their frame.");
  table.row("Rest", kit.panel.sequence.rest.min
                        ? phrase("After power off wait at least ", to_text(*kit.panel.sequence.rest.min),
                                 " before power on.")
                        : std::string());
  table.row("Stop", "No indicator, heat, smell or noise: supply off at once, find out why first.");
  table.row("Law",
            "Mains, earthing, fusing and enclosure follow local codes, by a licensed person where they "
            "ask for one. This sheet replaces neither.");
  table.put(sheet, "Cautions");
}

void add_panel(report::Document& sheet, const model::Kit& kit) {
  const model::Panel& panel = kit.panel;
  const auto& [voltage, absolute_max, idle, black, white, worst, inrush] = panel.supply;
  FactTable table;
  table.row("panel", phrase(panel.about.id, ", ", panel.about.title));
  table.row("glass", phrase(panel.glass.columns.count, " x ", panel.glass.lines.count, " pixels, ",
                            to_text(panel.glass.width), " x ", to_text(panel.glass.height), ", ",
                            model::word_for(panel.glass.shape), "; ", model::word_for(panel.glass.unlit),
                            " when lit without data"));
  table.row("raster",
            phrase(panel.signal.raster_columns.count, " x ", panel.signal.raster_lines.count,
                   panel.signal.sync == model::Sync::kDeOnly ? ", data enable only" : ", with syncs"));
  table.row("clock", phrase(told(panel.signal.pixel_clock), ", refresh ", told(panel.signal.refresh)));
  table.row("totals", phrase("h ", counts(panel.signal.h_total), ", v ", counts(panel.signal.v_total)));
  table.row("link", link_text(panel.link));
  table.row("supply", phrase(told(voltage), ", never above ", to_text(absolute_max)));
  table.row("current", phrase("idle ", to_text(idle), ", black ", to_text(black), ", white ", to_text(white),
                              ", worst ", to_text(worst), ", inrush ", to_text(inrush)));
  const auto& light = panel.backlight;
  table.row("light", phrase(told(light.supply), ", never above ", to_text(light.absolute_max), ", ",
                            to_text(light.power)));
  table.row("enable",
            phrase("on above ", to_text(light.enable.on_above), ", off below ",
                   to_text(light.enable.off_below), "; open wire: ", model::word_for(light.enable.open)));
  table.row("dimming", phrase(model::word_for(light.dimming.by), ", ", to_text(light.dimming.sense),
                              light.dimming.by == model::DimmingKind::kPwm
                                  ? phrase(", ", told(light.dimming.frequency), ", duty ",
                                           limits_text(light.dimming.duty))
                                  : phrase(", ", limits_text(light.dimming.range))));
  std::string order;
  const auto interval = [&](std::string_view name, const model::Bounds<model::Microseconds>& bounds) {
    if (bounds.min || bounds.max) order += phrase(order.empty() ? "" : "; ", name, " ", limits_text(bounds));
  };
  interval("rise", panel.sequence.supply_rise);
  interval("supply to signal", panel.sequence.supply_to_signal);
  interval("signal to light", panel.sequence.signal_to_light);
  interval("light to signal off", panel.sequence.light_to_no_signal);
  interval("rest", panel.sequence.rest);
  table.row("sequence", order);
  table.put(sheet, "Panel");
}

namespace {

// Figures that are not from the document that the rest of their part is from.
void add_own_sources(report::Document& sheet, const model::Kit& kit) {
  Table table{{"part", "figure", "its own source"}, {}};
  const auto add = [&](const model::About& about) {
    for (const auto& [path, source] : about.sources)
      table.rows.push_back({{about.id, path, source}, Tone::kPlain});
  };
  add(kit.about);
  add(kit.panel.about);
  add(kit.board.about);
  add(kit.supply.about);
  if (kit.keypad) add(kit.keypad->about);
  for (const auto& [designator, cable] : kit.cables) add(cable.about);
  if (!table.rows.empty()) sheet.nodes.emplace_back(std::move(table));
}

}  // namespace

void add_parts(report::Document& sheet, const model::Kit& kit) {
  Table table{{"item", "part", "what it is", "revision", "status", "source of its figures"}, {}};
  const auto row = [&](std::string item, const model::About& about) {
    std::string status(to_text(about.status));
    if (!about.released_by.empty()) status += phrase(", ", about.released_by);
    table.rows.push_back(
        {{std::move(item), about.id, about.title, about.revision, std::move(status), about.source},
         about.status == model::Status::kWithdrawn ? Tone::kWarning : Tone::kPlain});
  };
  row("panel", kit.panel.about);
  row("board", kit.board.about);
  row("supply", kit.supply.about);
  if (kit.keypad) row("keypad", kit.keypad->about);
  for (const auto& [designator, cable] : kit.cables) row(designator, cable.about);
  sheet.nodes.emplace_back(report::Heading{"Parts"});
  sheet.nodes.emplace_back(std::move(table));
  add_own_sources(sheet, kit);
}

}  // namespace host::expect::sheet
