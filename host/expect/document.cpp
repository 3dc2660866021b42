#include "host/expect/document.hpp"

#include <algorithm>

#include "host/expect/phrases.hpp"
#include "host/expect/sequence.hpp"
#include "host/expect/words.hpp"
#include "protocol/points/words.hpp"

namespace host::expect {
namespace {

using report::Table;
using report::Tone;

Tone tone_of(model::Severity severity) {
  switch (severity) {
    case model::Severity::kDanger: return Tone::kDanger;
    case model::Severity::kFault: return Tone::kFault;
    case model::Severity::kWarning: return Tone::kWarning;
    case model::Severity::kNote: return Tone::kNote;
  }
  return Tone::kPlain;
}

bool accepts(const ExpectedStrap& expected, model::Position position) {
  return std::ranges::find(expected.accepted, position) != expected.accepted.end();
}

// A strap given wrong is as grave as what was found about it.
Tone tone_of(const model::Strap& strap, const PaperJudgement& judgement) {
  const auto found =
      std::ranges::find(judgement.findings, phrase("straps.", strap.id), &model::Finding::subject);
  return found == judgement.findings.end() ? Tone::kFault : tone_of(found->severity);
}

report::StrapDrawing drawing(const model::Strap& strap, const ExpectedStrap& expected,
                             const std::optional<model::Position>& given, const PaperJudgement& judgement) {
  report::StrapDrawing drawing;
  drawing.id = strap.id;
  drawing.kind = strap.kind == model::StrapKind::kJumper ? report::StrapDrawing::Kind::kJumper
                                                         : report::StrapDrawing::Kind::kSwitches;
  drawing.count = strap.count;
  drawing.nets = strap.nets;
  drawing.expected = expected.position.bits;
  drawing.expected_care = bits_that_matter(strap, expected);
  drawing.actual_word = given ? "given" : "";
  if (given) {
    drawing.read_known = true;
    drawing.read = given->bits;
    drawing.tone = accepts(expected, *given) ? Tone::kGood : tone_of(strap, judgement);
  }
  return drawing;
}

void add_straps(report::Document& document, const model::Kit& kit, const Expectation& expectation,
                const JointPosition& given, const PaperJudgement& judgement) {
  document.nodes.emplace_back(report::Heading{"Straps to set, supply off"});
  Table table{{"strap", "set", "also right", "decides", "known by"}, {}};
  for (const ExpectedStrap& expected : expectation.straps) {
    const model::Strap& strap = kit.board.straps[expected.strap];
    table.rows.push_back({{strap.id, set_text(strap, expected), others_text(strap, expected),
                           functions_text(expected), evidence_possible(kit, expectation, expected)},
                          Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
  for (const ExpectedStrap& expected : expectation.straps) {
    if (!expected.required || expected.accepted.empty()) continue;
    const auto position = expected.strap < given.size() ? given[expected.strap] : std::nullopt;
    document.nodes.emplace_back(drawing(kit.board.straps[expected.strap], expected, position, judgement));
  }
}

void add_points(report::Document& document, const Expectation& expectation) {
  document.nodes.emplace_back(report::Heading{"Readings to expect"});
  Table table{{"point", "limits", "why"}, {}};
  for (const ExpectedPoint& expected : expectation.points) {
    table.rows.push_back(
        {{std::string(protocol::points::words(expected.point).name), limits_text(expected), expected.why},
         Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
}

std::string dimming_text(const BacklightNeed& light) {
  std::string text = to_text(light.frequency_chosen);
  if (light.steps) text += phrase(", ", *light.steps, " steps (", bits_of(*light.steps), " bit)");
  if (light.shortest_pulse_ns > 0) text += phrase(", shortest pulse ", light.shortest_pulse_ns, " ns");
  return phrase(text, ", ", to_text(light.beat),
                " from a multiple of the refresh rate; IEEE 1789 (for lighting): ", to_text(light.flicker));
}

std::string source_text(const SourceView& source) {
  const model::Timing& timing = source.choice.timing;
  return phrase("EDID ", origin_text(source), ": a source left to itself sends ", timing.h_active.count,
                " x ", timing.v_active.count, timing.interlaced ? "i" : "", " of ", timing.h_total().count,
                " x ", timing.v_total().count, ", ", to_text(timing.pixel_clock), " (", source.choice.name,
                "); ", source.choice.why);
}

void add_figures(report::Document& document, const model::Kit& kit, const Expectation& expectation) {
  const model::Timing& timing = expectation.timing;
  const PanelLink& link = expectation.link;
  const SupplyNeed& supply = expectation.supply;
  const BacklightNeed& light = expectation.backlight;
  document.nodes.emplace_back(report::Heading{"Signal and power"});
  Table table;
  const auto row = [&](std::string name, std::string text) {
    table.rows.push_back({{std::move(name), std::move(text)}, Tone::kPlain});
  };
  row("timing",
      phrase(timing.h_active.count, " x ", timing.v_active.count, " of ", timing.h_total().count, " x ",
             timing.v_total().count, ", ", to_text(timing.pixel_clock), ", ", to_text(timing.refresh())));
  if (expectation.window) {
    const Rectangle& window = *expectation.window;
    row("window", phrase(window.width.count, " x ", window.height.count, " at ", window.x.count, ", ",
                         window.y.count, ": the part of the raster the panel shows"));
  }
  row("source", source_text(expectation.source));
  row("panel link",
      phrase(link.channels, link.channels == 1 ? " channel, " : " channels, ", to_text(link.mapping), ", ",
             to_text(link.channel_clock), " a channel, ", link.bit_rate_kbps, " kbit/s a pair"));
  row("supply",
      phrase(to_text(supply.voltage), ", ", to_text(supply.power), " at worst, ", to_text(supply.current),
             "; recommended ", to_text(supply.recommended_power), " (80 % load, common practice)"));
  row("supply, why", supply.why);
  row("supply by picture",
      phrase(to_text(supply.idle), " idle, ", to_text(supply.black), " black, ", to_text(supply.white),
             " white; the panel's inrush ", to_text(supply.panel_inrush)));
  row("backlight", phrase(to_text(light.supply), ", on above ", to_text(light.enable_on_above), ", ",
                          to_text(light.sense)));
  if (kit.panel.backlight.dimming.by == model::DimmingKind::kPwm) {
    row("dimming", phrase(expect::limits_text(light.frequency), ", duty ", expect::limits_text(light.duty),
                          light.duty_expected ? phrase(", here ", to_text(*light.duty_expected)) : ""));
    row("dimming signal", dimming_text(light));
  } else {
    row("dimming", phrase("by a voltage, ", expect::limits_text(light.level),
                          light.level_expected ? phrase(", here ", to_text(*light.level_expected)) : ""));
  }
  document.nodes.emplace_back(std::move(table));
}

std::string margin_text(std::int64_t permille) {
  const std::int64_t size = permille < 0 ? -permille : permille;
  return phrase(permille < 0 ? "-" : "", size / 10, ".", size % 10, " %");
}

void add_margins(report::Document& document, const Expectation& expectation) {
  if (expectation.margins.empty()) return;
  document.nodes.emplace_back(report::Heading{"Timing and link within their limits"});
  Table table{{"figure", "value", "limits", "of", "margin"}, {}};
  for (const Margin& margin : expectation.margins) {
    const auto& [min, nominal, max] = margin.bounds;
    const std::string limits = min && max ? phrase(*min, "..", *max)
                               : min      ? phrase(">= ", *min)
                                          : phrase("<= ", *max);
    table.rows.push_back(
        {{margin.figure, std::to_string(margin.value), limits, margin.limit_of, margin_text(margin.permille)},
         margin.permille < 0 ? Tone::kFault : Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
}

std::string capitalised(std::string sentence) {
  if (!sentence.empty() && sentence.front() >= 'a' && sentence.front() <= 'z') {
    sentence.front() = static_cast<char>(sentence.front() - 'a' + 'A');
  }
  return sentence + '.';
}

void add_sequence(report::Document& document, const model::Kit& kit, const Expectation& expectation) {
  document.nodes.emplace_back(report::Heading{"Power sequence"});
  Table table{{"interval", "panel", "board"}, {}};
  for (const Interval& interval : expectation.sequence.intervals) {
    table.rows.push_back({{interval.what, expect::limits_text(interval.takes),
                           interval.gives ? expect::limits_text(*interval.gives) : "not told"},
                          Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
  const std::string at_loss = at_loss_text(kit);
  if (!at_loss.empty()) document.nodes.emplace_back(report::Paragraph{capitalised(at_loss), Tone::kNote});
}

void add_drops(report::Document& document, const Expectation& expectation) {
  if (expectation.drops.empty()) return;
  document.nodes.emplace_back(report::Heading{"What drops on the cables"});
  Table table{{"cable", "net", "drops", "left at least", "why"}, {}};
  for (const CableDrop& drop : expectation.drops) {
    table.rows.push_back(
        {{drop.cable, drop.net, to_text(drop.drop), to_text(drop.at_load_min), drop.why}, Tone::kPlain});
  }
  document.nodes.emplace_back(std::move(table));
}

void add_findings(report::Document& document, const PaperJudgement& judgement) {
  if (judgement.findings.empty()) return;
  document.nodes.emplace_back(report::Heading{"Findings"});
  for (const model::Finding& finding : judgement.findings) {
    document.nodes.emplace_back(report::FindingBlock{
        std::string(to_text(finding.severity)), std::string(model::kind_of(finding.id).name), finding.subject,
        finding.expected, finding.actual, finding.consequence, finding.remedy, tone_of(finding.severity)});
  }
}

report::VerdictBlock verdict(const model::Kit& kit, const Expectation& expectation,
                             const PaperJudgement& judgement) {
  if (judgement.fails) {
    const model::Finding& gravest = judgement.findings.front();
    return {"fail", judgement.danger, gravest.consequence, gravest.remedy, tone_of(gravest.severity)};
  }
  const auto required = std::ranges::count_if(expectation.straps, &ExpectedStrap::required);
  return {"pass", false,
          phrase("On paper nothing speaks against this kit: ", required, " straps to set, ",
                 expectation.points.size(), " readings to expect."),
          phrase("Set the straps as drawn with the supply off; once the unit runs, strapline verify ",
                 kit.about.id, " --link LINK."),
          Tone::kGood};
}

}  // namespace

report::Document to_document(const model::Kit& kit, const Expectation& expectation,
                             const JointPosition& given) {
  const PaperJudgement judgement = judge_on_paper(kit, expectation, given);
  report::Document document;
  document.title = phrase("check ", kit.about.id, ": ", kit.about.title, ", revision ", kit.about.revision);
  document.nodes.emplace_back(report::Paragraph{
      phrase("Panel ", kit.panel.about.id, " (", kit.panel.about.title, "), board ", kit.board.about.id, " (",
             kit.board.about.title, "), supply ", kit.supply.about.id, "."),
      Tone::kPlain});
  add_straps(document, kit, expectation, given, judgement);
  add_points(document, expectation);
  add_figures(document, kit, expectation);
  add_margins(document, expectation);
  add_drops(document, expectation);
  add_sequence(document, kit, expectation);
  add_findings(document, judgement);
  document.nodes.emplace_back(verdict(kit, expectation, judgement));
  return document;
}

}  // namespace host::expect
