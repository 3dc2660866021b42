#include "host/verify/document.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "host/verify/strap_readings.hpp"

namespace host::verify {
namespace {

using report::Tone;

Tone tone_of(model::Severity severity) {
  switch (severity) {
    case model::Severity::kDanger: return Tone::kDanger;
    case model::Severity::kFault: return Tone::kFault;
    case model::Severity::kWarning: return Tone::kWarning;
    case model::Severity::kNote: break;
  }
  return Tone::kNote;
}

// An item is as grave as what was found about it.
Tone tone_of(const Item& item, const Judgement& judgement) {
  for (const model::Finding& finding : judgement.findings) {
    if (finding.subject == item.subject) return tone_of(finding.severity);
  }
  switch (item.state) {
    case State::kMatch: return is_met(item) ? Tone::kGood : Tone::kWarning;
    case State::kMarginal: return Tone::kWarning;
    case State::kMismatch: return Tone::kFault;
    case State::kUnread: break;
  }
  return item.required ? Tone::kWarning : Tone::kNote;
}

std::string expected_text(const Item& item) {
  // A text the unit holds none of, which is well for some.
  const bool may_be_blank = item.state == State::kMatch && item.actual.empty();
  return may_be_blank ? "blank or " + item.expected : item.expected;
}

bool is_blank(const Item& item) {
  return item.state == State::kUnread && item.actual.empty();
}

std::string actual_text(const Item& item) {
  if (is_blank(item)) return "unread: " + item.reason;
  if (item.actual.empty()) return "blank";
  if (item.reason.empty()) return item.actual;
  return fmt::format("{} ({})", item.actual, item.reason);
}

std::string known_by(const Item& item) {
  const std::string_view evidence = to_text(item.evidence);
  return item.by.empty() ? std::string{evidence} : fmt::format("{}, {}", evidence, item.by);
}

// Of a unit that answered nothing only what is known from elsewhere, by eye.
report::Checks checks_of(const Judgement& judgement, bool silent) {
  report::Checks checks;
  for (const Item& item : judgement.items) {
    if (silent && is_blank(item)) continue;
    std::string state{to_text(item.state)};
    if (!item.required && !is_met(item)) state += ", not required";
    checks.items.push_back({item.subject, expected_text(item), actual_text(item), std::move(state),
                            known_by(item), tone_of(item, judgement)});
  }
  return checks;
}

report::FindingBlock block_of(const model::Finding& finding) {
  return {std::string{to_text(finding.severity)},
          std::string{model::kind_of(finding.id).name},
          finding.subject,
          finding.expected,
          finding.actual,
          finding.consequence,
          finding.remedy,
          tone_of(finding.severity)};
}

// As sensed; else as inferred or seen, where that is one position.
void show_reading(report::StrapDrawing& drawing, const model::Strap& strap, const StrapReading& reading,
                  const Item& item) {
  const auto told = parse_position(strap, item.actual);
  drawing.read_known = reading.position || reading.impossible || (!item.actual.empty() && told);
  if (!drawing.read_known) return;
  drawing.read = reading.impossible ? reading.word : reading.position ? reading.position->bits : told->bits;
}

void draw_straps(report::Document& document, const model::Kit& kit, const expect::Expectation& expectation,
                 const Snapshot& snapshot, const Judgement& judgement) {
  const std::vector<StrapReading> readings = read_straps(kit, snapshot, {});
  bool headed = false;
  for (std::size_t s = 0; s < readings.size(); ++s) {
    const Item& item = judgement.items[s];
    if (is_met(item) || item.reason == "other-board" || !item.required) continue;
    if (!std::exchange(headed, true)) {
      document.nodes.emplace_back(report::Heading{"Straps, as expected beside as read"});
    }
    const model::Strap& strap = kit.board.straps[s];
    const expect::ExpectedStrap& wanted = expectation.straps[s];
    const bool bank = strap.kind == model::StrapKind::kSwitches;
    report::StrapDrawing drawing;
    drawing.id = strap.id;
    drawing.kind = bank ? report::StrapDrawing::Kind::kSwitches : report::StrapDrawing::Kind::kJumper;
    drawing.count = strap.count;
    drawing.nets = strap.nets;
    drawing.expected = wanted.position.bits;
    const auto all = static_cast<std::uint16_t>((1U << strap.bit_count()) - 1U);
    drawing.expected_care = bank && !wanted.accepted.empty() ? common_bits(strap, wanted.accepted) : all;
    show_reading(drawing, strap, readings[s], item);
    drawing.tone = tone_of(item, judgement);
    document.nodes.emplace_back(std::move(drawing));
  }
}

std::string unit_text(const UnitIdentity& unit) {
  const auto or_none = [](const std::string& text) { return text.empty() ? std::string{"none"} : text; };
  return fmt::format("Unit at address {}, serial {}, model {}, firmware {}, board {}.", unit.address,
                     or_none(unit.serial), or_none(unit.model), or_none(unit.firmware), or_none(unit.board));
}

// Readings out of a document: whose they were, and whether the kit has changed since.
std::string origin_text(const TakenWith& then, const model::Kit& kit) {
  const bool same = then.digest == kit.digest;
  return fmt::format("Saved readings, judged anew: taken with kit {}, revision {}, {}.", then.kit,
                     then.revision, same ? "the same in every file" : "digest " + then.digest.substr(0, 16));
}

// Said once, in the place of a list of items that are all unread.
std::string silence_text(const Snapshot& snapshot, const Judgement& judgement) {
  const auto blank = std::count_if(judgement.items.begin(), judgement.items.end(), is_blank);
  return fmt::format("Nothing was read at address {}: {} of {} items stay unread, {} of them required.",
                     snapshot.unit.address, blank, judgement.items.size(),
                     judgement.coverage.required - judgement.coverage.known);
}

Tone tone_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::kPass: return Tone::kGood;
    case Verdict::kFail: return Tone::kFault;
    case Verdict::kIncomplete: break;
  }
  return Tone::kWarning;
}

}  // namespace

report::Document to_document(const model::Kit& kit, const expect::Expectation& expectation,
                             const Snapshot& snapshot, const Judgement& judgement) {
  report::Document document;
  document.title = fmt::format("verify {}", kit.about.id);
  document.nodes.emplace_back(
      report::Paragraph{fmt::format("Kit {}, revision {}: {}. Digest {}.", kit.about.id, kit.about.revision,
                                    kit.about.title, kit.digest.substr(0, 16)),
                        Tone::kPlain});
  if (snapshot.taken_with) {
    document.nodes.emplace_back(report::Paragraph{origin_text(*snapshot.taken_with, kit), Tone::kPlain});
  }
  const bool silent = snapshot.points.empty();
  document.nodes.emplace_back(
      report::Paragraph{silent ? silence_text(snapshot, judgement) : unit_text(snapshot.unit), Tone::kPlain});
  if (!silent) draw_straps(document, kit, expectation, snapshot, judgement);
  auto checks = checks_of(judgement, silent);
  if (!checks.items.empty()) {
    document.nodes.emplace_back(report::Heading{"Items"});
    document.nodes.emplace_back(std::move(checks));
  }
  if (!judgement.findings.empty()) document.nodes.emplace_back(report::Heading{"Findings"});
  for (const model::Finding& finding : judgement.findings) document.nodes.emplace_back(block_of(finding));
  const Coverage& coverage = judgement.coverage;
  document.nodes.emplace_back(report::Paragraph{
      fmt::format(
          "{} required, {} read, {} by eye; snapshot {}; {} transactions, {} octets, {} retries, {} ms on "
          "the wire.",
          coverage.required, coverage.known, coverage.attested, to_text(snapshot.consistency),
          snapshot.wire.transactions, snapshot.wire.bytes, snapshot.wire.retries,
          snapshot.wire.elapsed_us / 1000),
      Tone::kPlain});
  document.nodes.emplace_back(report::VerdictBlock{std::string{to_text(judgement.verdict)}, judgement.danger,
                                                   judgement.why, judgement.next,
                                                   tone_of(judgement.verdict)});
  return document;
}

}  // namespace host::verify
