#include "host/verify/verdict.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "host/verify/next_step.hpp"

namespace host::verify {
namespace {

using model::Finding;
using model::Severity;

bool is_grave(const Finding& finding) {
  return finding.severity == Severity::kDanger || finding.severity == Severity::kFault;
}

bool is_circumstance(const Circumstances& circumstances, const Finding& finding) {
  return std::any_of(circumstances.findings.begin(), circumstances.findings.end(),
                     [&](const Finding& one) { return one.id == finding.id; });
}

// Gravest first, and as they were found within one severity.
void put_in_order(std::vector<Finding>& findings) {
  std::vector<Finding> ordered;
  ordered.reserve(findings.size());
  for (const Severity severity : {Severity::kDanger, Severity::kFault, Severity::kWarning, Severity::kNote}) {
    for (Finding& finding : findings) {
      if (finding.severity == severity) ordered.push_back(std::move(finding));
    }
  }
  findings = std::move(ordered);
}

Coverage count(const std::vector<Item>& items) {
  Coverage coverage;
  for (const Item& item : items) {
    if (!item.required) continue;
    ++coverage.required;
    const bool read = item.state == State::kMismatch || item.state == State::kMarginal || is_met(item);
    if (!read) continue;
    ++coverage.known;
    if (item.evidence == model::Evidence::kAttested) ++coverage.attested;
  }
  return coverage;
}

std::vector<const Item*> unmet(const std::vector<Item>& items) {
  std::vector<const Item*> open;
  for (const Item& item : items) {
    if (item.required && !is_met(item)) open.push_back(&item);
  }
  return open;
}

Verdict decide_verdict(const Judgement& judgement, const expect::Expectation& expectation,
                       const Circumstances& circumstances) {
  if (circumstances.no_ground) return Verdict::kIncomplete;
  const bool mismatch =
      std::any_of(judgement.items.begin(), judgement.items.end(),
                  [](const Item& item) { return item.state == State::kMismatch; }) ||
      std::any_of(expectation.findings.begin(), expectation.findings.end(), is_grave) ||
      std::any_of(judgement.findings.begin(), judgement.findings.end(),
                  [&](const Finding& one) { return is_grave(one) && !is_circumstance(circumstances, one); });
  if (mismatch) return Verdict::kFail;
  if (circumstances.not_whole || !unmet(judgement.items).empty()) return Verdict::kIncomplete;
  return Verdict::kPass;
}

std::string counted(const Judgement& judgement) {
  const Coverage& coverage = judgement.coverage;
  std::string text =
      fmt::format("{} required, {} read: {}", coverage.required, coverage.known, to_text(judgement.verdict));
  if (judgement.verdict == Verdict::kPass && coverage.attested > 0) {
    text += fmt::format(", {} of {} by eye", coverage.attested, coverage.required);
  }
  return text + ".";
}

std::string names_of(const std::vector<const Item*>& items) {
  constexpr std::size_t kShown = 4;
  std::string text;
  for (std::size_t i = 0; i < std::min(items.size(), kShown); ++i) {
    text += fmt::format("{}{} ({})", i == 0 ? "" : ", ", items[i]->subject, items[i]->reason);
  }
  if (items.size() > kShown) text += fmt::format(" and {} more", items.size() - kShown);
  return text;
}

const Finding* first_finding(const Judgement& judgement, const Circumstances& circumstances,
                             bool circumstance) {
  for (const Finding& finding : judgement.findings) {
    if (is_circumstance(circumstances, finding) == circumstance) return &finding;
  }
  return nullptr;
}

void explain_pass(Judgement& judgement) {
  const auto warnings = std::count_if(judgement.findings.begin(), judgement.findings.end(),
                                      [](const Finding& one) { return one.severity == Severity::kWarning; });
  if (warnings > 0) judgement.why += fmt::format(" {} warning{}.", warnings, warnings == 1 ? "" : "s");
  judgement.next = beyond_proof();
}

void explain_fail(Judgement& judgement, const Circumstances& circumstances) {
  const Finding* finding = first_finding(judgement, circumstances, false);
  if (finding == nullptr) return;
  // What is said about straps names them itself.
  const bool names_itself =
      finding->subject.starts_with("straps.") || finding->subject.starts_with("functions.");
  judgement.why += names_itself ? " " + finding->consequence
                                : fmt::format(" {}: {}", finding->subject, finding->consequence);
  judgement.next = finding->remedy;
}

void explain_incomplete(Judgement& judgement, const model::Kit& kit, const Snapshot& snapshot,
                        const Circumstances& circumstances) {
  const Finding* cause = circumstances.no_ground || circumstances.not_whole
                             ? first_finding(judgement, circumstances, true)
                             : nullptr;
  if (cause != nullptr) {
    judgement.why += fmt::format(" {} {}: {}.", cause->consequence, cause->subject, cause->actual);
    judgement.next = cause->remedy;
  } else {
    const std::vector<const Item*> open = unmet(judgement.items);
    judgement.why += fmt::format(" Not known: {}.", names_of(open));
    judgement.next = next_step(kit, snapshot, open);
  }
  if (!judgement.danger) return;
  const Finding& danger = judgement.findings.front();
  judgement.why = fmt::format("Danger, {}: {} {}", danger.subject, danger.consequence, judgement.why);
  judgement.next = fmt::format("{} {}", danger.remedy, judgement.next);
}

}  // namespace

std::string_view beyond_proof() {
  return "Look at the screen: no board can prove pairs as they arrive at the panel, "
         "mapping or channel order as wired, panel bias, light, or a visible picture.";
}

void settle(Judgement& judgement, const model::Kit& kit, const expect::Expectation& expectation,
            const Snapshot& snapshot, const Circumstances& circumstances) {
  put_in_order(judgement.findings);
  judgement.danger = !judgement.findings.empty() && judgement.findings.front().severity == Severity::kDanger;
  judgement.coverage = count(judgement.items);
  judgement.verdict = decide_verdict(judgement, expectation, circumstances);
  judgement.why = counted(judgement);
  switch (judgement.verdict) {
    case Verdict::kPass: explain_pass(judgement); break;
    case Verdict::kFail: explain_fail(judgement, circumstances); break;
    case Verdict::kIncomplete: explain_incomplete(judgement, kit, snapshot, circumstances); break;
  }
}

}  // namespace host::verify
