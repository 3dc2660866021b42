#include "host/expect/sequence.hpp"

#include <array>

#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"

namespace host::expect {
namespace {

using model::FindingId;
using model::Severity;
using protocol::points::Point;
using Window = model::Bounds<model::Microseconds>;

// One interval: where it stands in the two files, and what it does when it is broken.
struct IntervalKind {
  std::string_view name;
  std::string_view what;
  Window model::Panel::Sequence::* takes;
  Window model::Board::Sequence::* gives;
  Point point;
  Severity severity;
  std::string_view harm;
};

constexpr auto kIntervals = std::to_array<IntervalKind>({
    {"supply_rise", "the panel's supply from 10 % to 90 %", &model::Panel::Sequence::supply_rise,
     &model::Board::Sequence::supply_rise, Point::kSequenceSupplyRiseUs, Severity::kFault,
     "the panel starts in an undefined state, or its inrush trips something"},
    {"supply_to_signal", "from the panel's supply to its signal", &model::Panel::Sequence::supply_to_signal,
     &model::Board::Sequence::supply_to_signal, Point::kSequenceSupplyToSignalUs, Severity::kFault,
     "the panel is fed through its signal pins, or starts without a signal"},
    {"signal_to_light", "from the signal to the light", &model::Panel::Sequence::signal_to_light,
     &model::Board::Sequence::signal_to_light, Point::kSequenceSignalToLightUs, Severity::kWarning,
     "what the panel shows before its first picture is seen"},
    {"light_to_no_signal", "from the light going off to the signal going off",
     &model::Panel::Sequence::light_to_no_signal, &model::Board::Sequence::light_to_no_signal,
     Point::kSequenceLightToNoSignalUs, Severity::kWarning,
     "what the panel shows after its last picture is seen"},
    {"rest", "the panel's supply off before it comes again", &model::Panel::Sequence::rest,
     &model::Board::Sequence::rest, Point::kSequenceRestUs, Severity::kFault,
     "the panel latches up or doesn't start"},
});

}  // namespace

SequenceNeed sequence_need(const model::Kit& kit) {
  SequenceNeed need;
  for (const IntervalKind& kind : kIntervals) {
    Interval interval{std::string(kind.name), std::string(kind.what), kit.panel.sequence.*kind.takes, {}};
    if (kit.board.sequence) interval.gives = (*kit.board.sequence).*kind.gives;
    need.intervals.push_back(std::move(interval));
  }
  if (kit.board.sequence) need.keeps_at_loss = kit.board.sequence->keeps_at_loss;
  return need;
}

std::string at_loss_text(const model::Kit& kit) {
  if (!kit.board.sequence) return {};
  return kit.board.sequence->keeps_at_loss
             ? "when the supply fails suddenly the board still switches off in order"
             : "when the supply fails suddenly light, signal and panel supply go at once: a flash or a "
               "residue may be seen, and the panel's rest before the next start is not assured";
}

void add_sequence_points(PointList& points, const model::Kit& kit) {
  for (const IntervalKind& kind : kIntervals) {
    const Window& takes = kit.panel.sequence.*kind.takes;
    if (!takes.min && !takes.max) continue;
    const std::int64_t resolution = kit.board.sequence ? kit.board.sequence->resolution.count : 0;
    points.add(kind.point, std::nullopt,
               {limit(counts(takes), FindingId::kSequenceOutOfWindow, FindingId::kSequenceOutOfWindow,
                      kind.severity)},
               phrase(kind.what, ": the panel takes ", limits_text(takes), " (",
                      cited(kit.panel.about, {phrase("sequence.", kind.name)}), "); else ", kind.harm),
               {.uncertainty = {{}, resolution}, .required = false, .needs_awake = true});
  }
}

void find_sequence_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  for (std::size_t i = 0; i < kIntervals.size(); ++i) {
    const IntervalKind& kind = kIntervals[i];
    const Interval& interval = expectation.sequence.intervals[i];
    if (!interval.gives || !interval.gives->min || !interval.gives->max) continue;
    if (interval.takes.contains(*interval.gives->min) && interval.takes.contains(*interval.gives->max))
      continue;
    model::Finding finding =
        model::make_finding(FindingId::kSequenceOutOfWindow, phrase("sequence.", kind.name),
                            limits_text(interval.takes), limits_text(*interval.gives));
    finding.severity = kind.severity;
    finding.consequence =
        phrase("Of ", kind.what, " the panel takes ", limits_text(interval.takes), " (",
               cited(kit.panel.about, {phrase("sequence.", kind.name)}), "), the board gives ",
               limits_text(*interval.gives), " (", cited(kit.board.about, {phrase("sequence.", kind.name)}),
               "): ", kind.harm, ".");
    findings.push_back(std::move(finding));
  }
}

}  // namespace host::expect
