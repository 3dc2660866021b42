#include <algorithm>

#include "host/expect/edid/presented.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/signal/find_timing.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::Timing;
using Bytes = tl::expected<std::vector<std::uint8_t>, std::vector<std::string>>;

// Neither is seen by a source; what `edid make` writes has those of its options.
const edid::EdidIdentity kIdentity{"QZX", 2000};

// An EDID tells a pixel clock in steps of 10 kHz; a source is off by 0.5 %, common practice.
constexpr model::PartsPerMillion kClockTolerance{5000};

std::string raster_text(const Timing& timing) {
  return phrase(timing.h_active.count, " x ", timing.v_active.count, timing.interlaced ? "i" : "", " of ",
                timing.h_total().count, " x ", timing.v_total().count, ", ", to_text(timing.pixel_clock));
}

bool is_same(const Timing& sent, const Timing& needed) {
  const std::int64_t apart = sent.pixel_clock.count - needed.pixel_clock.count;
  const std::int64_t slack = share_of(needed.pixel_clock, kClockTolerance).count;
  return sent.h_active == needed.h_active && sent.v_active == needed.v_active &&
         sent.h_total() == needed.h_total() && sent.v_total() == needed.v_total() &&
         sent.interlaced == needed.interlaced && apart <= slack && -apart <= slack;
}

template <typename Q>
std::string outside(std::string_view what, Q value, const model::Bounds<Q>& window) {
  if (window.contains(value)) return {};
  return phrase("takes ", what, " of ", limits_text(window), ", not ", to_text(value));
}

// What panel or input can't take of a timing; empty when both take it.
std::string misfit(const model::Kit& kit, const Timing& timing) {
  const auto& signal = kit.panel.signal;
  if (timing.h_active != signal.raster_columns || timing.v_active != signal.raster_lines) {
    return phrase("the panel takes a raster of ", to_text(signal.raster_columns), " x ",
                  to_text(signal.raster_lines));
  }
  if (timing.interlaced) return "the panel takes whole frames";
  for (const std::string& text : {outside("a pixel clock", timing.pixel_clock, signal.pixel_clock),
                                  outside("a line", timing.h_total(), signal.h_total),
                                  outside("a frame", timing.v_total(), signal.v_total),
                                  outside("a refresh rate", timing.refresh(), signal.refresh)}) {
    if (!text.empty()) return phrase("the panel ", text);
  }
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  if (input != kit.board.inputs.end() && timing.pixel_clock > input->pixel_clock_max) {
    return phrase("input ", input->id, " takes up to ", to_text(input->pixel_clock_max));
  }
  return {};
}

FindingId finding_of(const SourceView& view) {
  if (!view.refused.empty()) return FindingId::kEdidImpossible;
  switch (view.choice.rule) {
    case signal::ChoiceRule::kNoEdid: return FindingId::kEdidMissing;
    case signal::ChoiceRule::kDamaged: return FindingId::kEdidDamaged;
    default: return FindingId::kEdidTimingDiffers;
  }
}

// Of an EDID full of timings that can't be sent, the first few tell enough.
constexpr std::size_t kPassedOverShown = 4;

std::string passed_over_text(const std::vector<std::string>& passed_over) {
  std::string text;
  for (std::size_t i = 0; i < std::min(passed_over.size(), kPassedOverShown); ++i) {
    text += phrase("Passed over: ", passed_over[i], ". ");
  }
  if (passed_over.size() <= kPassedOverShown) return text;
  return text + phrase("Passed over as well: ", passed_over.size() - kPassedOverShown, " more. ");
}

std::string consequence_of(const SourceView& view, const std::string& misfit) {
  const signal::SourceChoice& choice = view.choice;
  std::string text;
  if (!view.refused.empty())
    text = phrase("No EDID can tell this kit's timing: ", view.refused.front(), ". ");
  text += passed_over_text(choice.passed_over);
  text += phrase("A source left to itself sends ", choice.name, ", ", raster_text(choice.timing), ": ",
                 choice.why, ". ");
  return text + (misfit.empty()
                     ? "Panel and input take it, but it isn't the kit's: a soft or shifted picture."
                     : phrase(misfit, ": no picture, or one that is cut or shifted."));
}

// What comes of a source that sends something else than the kit's timing.
model::Finding differing(const Expectation& expectation, const model::Kit& kit, const SourceView& view) {
  std::string wrong = misfit(kit, view.choice.timing);
  if (!wrong.empty()) wrong.front() = static_cast<char>(wrong.front() == 't' ? 'T' : 'I');
  model::Finding finding =
      model::make_finding(finding_of(view), phrase("video.edid.", kit.video.input),
                          raster_text(expectation.timing), raster_text(view.choice.timing));
  if (finding.id == FindingId::kEdidTimingDiffers && wrong.empty())
    finding.severity = model::Severity::kWarning;
  finding.consequence = consequence_of(view, wrong);
  return finding;
}

void judge(Expectation& expectation, const model::Kit& kit) {
  const SourceView& view = expectation.source;
  if (is_same(view.choice.timing, expectation.timing) && view.refused.empty()) return;
  expectation.findings.push_back(differing(expectation, kit, view));
}

model::FileErrors unknown_timing(const model::Kit& kit, const model::VideoInput& input,
                                 const std::string& name, std::string remedy) {
  model::FileError error;
  error.path = kit.board.about.path;
  error.place = input.edid_place;
  error.what = phrase("unknown timing '", name, "' in the EDID of input ", input.id);
  error.remedy = std::move(remedy);
  return {std::move(error)};
}

}  // namespace

model::Loaded<std::monostate> find_source_faults(Expectation& expectation, const model::Kit& kit) {
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  SourceView& view = expectation.source;
  if (input != kit.board.inputs.end()) view.origin = input->edid;
  Bytes bytes;
  if (view.origin == model::EdidOrigin::kLoaded) {
    bytes = edid::presented_edid(kit, expectation.timing, kIdentity);
  } else if (view.origin == model::EdidOrigin::kFixed) {
    std::vector<Timing> timings;
    for (const std::string& name : input->edid_timings) {
      const auto timing = signal::find_timing(name);
      if (!timing) return tl::unexpected(unknown_timing(kit, *input, name, timing.error()));
      timings.push_back(*timing);
    }
    if (!timings.empty()) bytes = edid::fixed_edid(kit, timings, kIdentity);
  }
  if (!bytes) view.refused = bytes.error();
  view.choice = signal::source_choice(bytes.value_or(std::vector<std::uint8_t>{}), edid::interface_of(kit));
  judge(expectation, kit);
  return std::monostate{};
}

void present(Expectation& expectation, const model::Kit& kit, std::span<const std::uint8_t> edid) {
  std::erase_if(expectation.findings, [](const model::Finding& finding) {
    return finding.id == FindingId::kEdidTimingDiffers || finding.id == FindingId::kEdidMissing ||
           finding.id == FindingId::kEdidDamaged || finding.id == FindingId::kEdidImpossible;
  });
  expectation.source = {};
  expectation.source.given = true;
  expectation.source.choice = signal::source_choice(edid, edid::interface_of(kit));
  judge(expectation, kit);
  sort_by_severity(expectation.findings);
}

JudgedEdid judge_edid(const Expectation& expectation, const model::Kit& kit,
                      std::span<const std::uint8_t> edid) {
  SourceView view;
  view.given = true;
  view.refused = expectation.source.refused;
  view.choice = signal::source_choice(edid, edid::interface_of(kit));
  JudgedEdid judged{raster_text(expectation.timing), raster_text(view.choice.timing), std::nullopt};
  if (!is_same(view.choice.timing, expectation.timing)) judged.finding = differing(expectation, kit, view);
  return judged;
}

}  // namespace host::expect
