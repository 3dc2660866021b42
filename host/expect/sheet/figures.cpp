#include <algorithm>
#include <array>
#include <string_view>

#include "host/expect/phrases.hpp"
#include "host/expect/sheet/sections.hpp"
#include "host/expect/words.hpp"
#include "host/model/words.hpp"
#include "protocol/points/words.hpp"

namespace host::expect::sheet {
namespace {

using report::Tone;

std::string timing_name(const model::Kit& kit) {
  const auto* name = std::get_if<std::string>(&kit.video.timing);
  return name == nullptr ? std::string("the kit's own figures") : *name;
}

std::string dimming_text(const model::Kit& kit, const BacklightNeed& light) {
  if (kit.panel.backlight.dimming.by == model::DimmingKind::kAnalogue) {
    return light.level_expected ? phrase("by a voltage, ", to_text(*light.level_expected)) : "by a voltage";
  }
  const auto& frequency = kit.settings.pwm_frequency;
  return frequency ? to_text(*frequency) : phrase("the board's own ", to_text(kit.board.light.pwm));
}

// What whoever builds the unit does about the EDID.
std::string edid_text(const model::Kit& kit, const SourceView& source) {
  if (!source.refused.empty()) return "none can tell this timing: set the source by hand";
  switch (source.origin) {
    case model::EdidOrigin::kNone: return "the board answers none: set the source by hand";
    case model::EdidOrigin::kFixed: return phrase("the board's own; a source chooses ", source.choice.name);
    case model::EdidOrigin::kLoaded: break;
  }
  return phrase("strapline edid make ", kit.about.id, " -o FILE, into the board");
}

std::string polarity(model::Polarity of) {
  return of == model::Polarity::kPositive ? "positive" : "negative";
}

std::string name_of(const ExpectedPoint& point) {
  return std::string(protocol::points::words(point.point).name);
}

// What is measured in a unit of its own. States and choices follow from the straps, and the program checks
// them.
bool is_figure(const ExpectedPoint& point) {
  constexpr std::array<std::string_view, 8> kKinds = {"text",  "choice", "bits",    "count",
                                                      "index", "word",   "version", "strap"};
  constexpr std::array<std::string_view, 4> kGroups = {"rails.", "backlight.", "input.", "panel_link."};
  const auto& words = protocol::points::words(point.point);
  return words.choices.empty() && !words.unit.empty() &&
         std::ranges::find(kKinds, words.unit) == kKinds.end() &&
         std::ranges::any_of(kGroups, [&](auto group) { return words.name.starts_with(group); });
}

// Points of one group that have one reason share a line: the group is told once.
void merge(std::vector<std::string>& cells, const ExpectedPoint& point) {
  std::string name = name_of(point);
  const std::string group = name.substr(0, name.find('.') + 1);
  if (cells[0].starts_with(group)) name.erase(0, group.size());
  cells[0] += phrase(", ", name);
  const std::string limits = limits_text(point);
  if (cells[1] != limits) cells[1] += phrase(", ", limits);
}

}  // namespace

void add_supply(report::Document& sheet, const model::Kit& kit, const Expectation& expectation) {
  const SupplyNeed& need = expectation.supply;
  FactTable table;
  table.row("supply", phrase(kit.supply.about.id, ": ", limits_text(kit.supply.voltage), ", ",
                             to_text(kit.supply.power)));
  table.row("board takes", phrase(limits_text(kit.board.input_supply.voltage), ", its fuse ",
                                  to_text(kit.board.input_supply.fuse)));
  table.row("power", phrase(to_text(need.power), " at worst"));
  table.row("current",
            phrase(to_text(need.current), " at ", to_text(kit.supply.voltage.min.value_or(need.voltage))));
  table.row("size", phrase(to_text(need.recommended_power), " or more"));
  table.put(sheet, "Supply");
}

void add_video(report::Document& sheet, const model::Kit& kit, const Expectation& expectation) {
  const model::Timing& timing = expectation.timing;
  const auto way = [](model::Pixels active, model::Pixels front, model::Pixels sync, model::Pixels back,
                      model::Pixels total) {
    return phrase(active.count, " + ", front.count, " + ", sync.count, " + ", back.count, " = ", total.count);
  };
  FactTable table;
  table.row("input", kit.video.input);
  table.row("timing", phrase(timing_name(kit), ", ", to_text(timing.pixel_clock), ", ",
                             to_text(timing.refresh()), timing.interlaced ? ", interlaced" : ""));
  table.row("horizontal",
            phrase(way(timing.h_active, timing.h_front, timing.h_sync, timing.h_back, timing.h_total()),
                   " pixels, ", polarity(timing.h_polarity)));
  table.row("vertical",
            phrase(way(timing.v_active, timing.v_front, timing.v_sync, timing.v_back, timing.v_total()),
                   " lines, ", polarity(timing.v_polarity)));
  table.row("EDID", edid_text(kit, expectation.source));
  table.row("order", "active + front + sync + back; sync");
  if (const auto& window = expectation.window) {
    table.row("window", phrase(window->width.count, " x ", window->height.count, " at ", window->x.count,
                               ", ", window->y.count, " of the raster is what the panel shows"));
  } else {
    table.row("window", "the whole raster is shown");
  }
  table.put(sheet, "Input timing and window");
}

void add_settings(report::Document& sheet, const model::Kit& kit, const Expectation& expectation) {
  FactTable table;
  const auto& brightness = kit.settings.brightness;
  const auto& power_on = kit.settings.power_on;
  table.row("brightness", brightness ? to_text(*brightness) : "any");
  table.row("power on", power_on ? std::string(model::word_for(*power_on)) : "any");
  table.row("dimming", dimming_text(kit, expectation.backlight));
  std::string attested;
  for (const auto& strap : kit.accept.attested) attested += phrase(attested.empty() ? "" : ", ", strap);
  table.row("by eye", attested.empty() ? "nothing may be answered for by eye alone"
                                       : phrase(attested, ": whoever has looked may answer for it"));
  table.row("then", phrase("strapline verify ", kit.about.id, " --link LINK"));
  table.put(sheet, "Settings and final check");
}

void add_figures(report::Document& sheet, const model::Kit& kit, const Expectation& expectation) {
  report::Table table{{"figure", "value", "why"}, {}};
  const auto row = [&](std::string name, std::string value, std::string why) {
    table.rows.push_back({{std::move(name), std::move(value), std::move(why)}, Tone::kPlain});
  };
  const PanelLink& link = expectation.link;
  const SupplyNeed& need = expectation.supply;
  row("supply.power", to_text(need.power),
      phrase(need.sum, " (", kit.board.about.id, ", ", kit.panel.about.id, ")"));
  row("supply.current", to_text(need.current),
      phrase(to_text(need.power), " / ", to_text(kit.supply.voltage.min.value_or(need.voltage)),
             ", the supply's lowest (", kit.supply.about.id, ")"));
  row("supply.size", to_text(need.recommended_power),
      phrase(to_text(need.power), " / 80 %, next size sold; 80 % load is common practice"));
  if (kit.panel.link.kind == model::LinkKind::kLvds) {
    row("link.channel_clock", to_text(link.channel_clock),
        phrase(to_text(expectation.timing.pixel_clock), " / ", link.channels,
               link.channels == 1 ? " channel" : " channels"));
    row("link.bit_rate", phrase(link.bit_rate_kbps, " kbit/s a pair"),
        phrase("7 x ", to_text(link.channel_clock), ": seven bits a clock"));
  }
  for (const ExpectedFunction& function : expectation.functions) {
    if (!function.used || function.why.empty()) continue;
    row(std::string(to_text(function.id)),
        function.accepted.empty() ? "none suits" : to_text(function.accepted.front()), function.why);
  }
  const std::size_t first_point = table.rows.size();
  for (const ExpectedPoint& point : expectation.points) {
    if (!is_figure(point)) continue;
    auto& rows = table.rows;
    if (rows.size() > first_point && rows.back().cells[2] == point.why) {
      merge(rows.back().cells, point);
    } else {
      row(name_of(point), limits_text(point), point.why);
    }
  }
  sheet.nodes.emplace_back(report::Heading{"Figures and why"});
  sheet.nodes.emplace_back(std::move(table));
}

}  // namespace host::expect::sheet
