#include <algorithm>

#include "host/expect/match_rules.hpp"
#include "host/expect/phrases.hpp"

namespace host::expect {
namespace {

using protocol::points::Point;

bool has_feature(const model::Board& board, std::string_view feature) {
  if (feature == "keypad") return board.rail(model::RailId::kKeypad) != nullptr;
  if (feature == "scan-direction") return board.function(model::FunctionId::kScanDirection) != nullptr;
  if (feature == "sensed-straps") {
    return std::ranges::all_of(
        board.straps, [](const model::Strap& strap) { return strap.evidence == model::Evidence::kSensed; });
  }
  if (feature == "panel-current") return board.fitted(Point::kRailsPanelOutMa);
  if (feature == "event-log") return board.fitted(Point::kLogRecords);
  return board.service.level == feature;
}

std::string offered_inputs(const model::Board& board) {
  std::string text;
  for (const model::VideoInput& input : board.inputs) text += phrase(text.empty() ? "" : ", ", input.kind);
  return text.empty() ? "none" : text;
}

// The fastest input of a kind.
void match_input(Bout& bout, const std::string& kind) {
  const model::VideoInput* best = nullptr;
  for (const model::VideoInput& input : bout.board.inputs) {
    if (input.kind != kind) continue;
    if (best == nullptr || input.pixel_clock_max > best->pixel_clock_max) best = &input;
  }
  const std::string subject = phrase("inputs.", kind);
  if (best == nullptr) {
    bout.refuse(RefusalKind::kInput, subject, kind, offered_inputs(bout.board),
                phrase("it has no ", kind, " input, but ", offered_inputs(bout.board)));
    return;
  }
  const model::Hertz clock = wanted_clock(bout.panel);
  if (clock.count <= 0) return;
  bout.hold(RefusalKind::kInput, subject, clock.count, best->pixel_clock_max.count, to_text(clock),
            to_text(best->pixel_clock_max),
            phrase("the panel's ", to_text(clock), " is more than its ", best->id, " takes, ",
                   to_text(best->pixel_clock_max)));
}

// Nothing wanted: some input must take the panel's pixel clock.
void match_any_input(Bout& bout) {
  const auto best = std::ranges::max_element(bout.board.inputs, {}, &model::VideoInput::pixel_clock_max);
  if (best == bout.board.inputs.end()) {
    bout.refuse(RefusalKind::kInput, "inputs", "one", "none", "it has no video input");
    return;
  }
  match_input(bout, best->kind);
}

}  // namespace

void match_wants(Bout& bout, const Wants& wants) {
  if (wants.inputs.empty()) match_any_input(bout);
  for (const std::string& kind : wants.inputs) match_input(bout, kind);
  for (const std::string& feature : wants.features) {
    if (has_feature(bout.board, feature)) continue;
    const auto word = std::ranges::find(features(), feature, &FeatureWord::name);
    bout.refuse(RefusalKind::kFeature, feature, std::string(word->meaning), "none",
                phrase("it lacks ", feature, ": ", word->meaning));
  }
}

}  // namespace host::expect
