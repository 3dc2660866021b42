#include "host/verify/strap_findings.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "host/expect/straps.hpp"

namespace host::verify {
namespace {

using model::Finding;
using model::FindingId;
using model::Severity;

bool depends_on(const model::Function& function, std::size_t strap) {
  const std::vector<std::size_t> straps = straps_of(function);
  return std::find(straps.begin(), straps.end(), strap) != straps.end();
}

// A kit that uses a function can't do with less than what it asks for.
void raise_to_fault(Finding& finding) {
  finding.severity = std::min(finding.severity, Severity::kFault);
}

}  // namespace

std::string values_text(const std::vector<model::FunctionValue>& values) {
  if (values.empty()) return "none";
  std::string text;
  for (const model::FunctionValue& value : values) {
    if (!text.empty()) text += " or ";
    text += to_text(value);
  }
  return text;
}

StrapFindings::StrapFindings(const model::Kit& kit, const expect::Expectation& expectation,
                             const std::vector<StrapReading>& readings, const std::vector<Item>& items,
                             const expect::JointPosition& inferred)
    : kit_{kit}, expectation_{expectation}, readings_{readings}, items_{items} {
  expect::JointPosition told;
  for (std::size_t s = 0; s < readings.size(); ++s) {
    const StrapReading& reading = readings[s];
    told.push_back(reading.position ? reading.position : reading.seen ? reading.seen : inferred[s]);
  }
  findings_ = expect::explain(kit, expectation, told);
  for (Finding& finding : findings_) {
    raise_to_fault(finding);
    for (const Item& item : items) {
      if (item.subject == finding.subject) finding.expected = item.expected;
    }
  }
}

std::string StrapFindings::subject_of(std::size_t function) const {
  return fmt::format("functions.{}", to_text(expectation_.functions[function].id));
}

bool StrapFindings::names_function(std::size_t function) const {
  return std::any_of(findings_.begin(), findings_.end(), [&](const Finding& finding) {
    if (finding.subject == subject_of(function)) return true;
    for (const std::size_t s : straps_of(kit_.board.functions[function])) {
      if (finding.subject == items_[s].subject && items_[s].state == State::kMismatch) return true;
    }
    return false;
  });
}

bool StrapFindings::names_strap(std::size_t strap) const {
  return std::any_of(findings_.begin(), findings_.end(), [&](const Finding& finding) {
    if (finding.subject == items_[strap].subject) return true;
    for (std::size_t f = 0; f < kit_.board.functions.size(); ++f) {
      if (finding.subject == subject_of(f) && depends_on(kit_.board.functions[f], strap)) return true;
    }
    return false;
  });
}

std::string StrapFindings::standing(const std::vector<std::size_t>& straps) const {
  std::string text;
  for (const std::size_t s : straps) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", kit_.board.straps[s].id,
                        items_[s].actual.empty() ? "unread" : items_[s].actual);
  }
  return text;
}

std::string StrapFindings::remedy(const std::vector<std::size_t>& straps) const {
  std::string text;
  for (const std::size_t s : straps) {
    const expect::ExpectedStrap& wanted = expectation_.straps[s];
    if (wanted.accepted.empty()) return "No position of these straps suits this kit; check it on paper.";
    text += fmt::format("{}{} to {}", text.empty() ? "Supply off, then " : ", ", kit_.board.straps[s].id,
                        to_text(kit_.board.straps[s], wanted.position));
  }
  return text + ".";
}

void StrapFindings::add_function(std::size_t function, const std::string& actual) {
  if (names_function(function)) return;
  const expect::ExpectedFunction& wanted = expectation_.functions[function];
  const std::vector<std::size_t> straps = straps_of(kit_.board.functions[function]);
  const FindingId id = actual == "undefined" ? FindingId::kStrapsUndefined : wanted.finding;
  Finding finding = make_finding(id, subject_of(function), values_text(wanted.accepted),
                                 fmt::format("{} ({})", actual, standing(straps)));
  raise_to_fault(finding);
  finding.remedy = remedy(straps);
  findings_.push_back(std::move(finding));
}

void StrapFindings::add_contradiction(std::size_t function, const Consequence& consequence) {
  const expect::ExpectedFunction& wanted = expectation_.functions[function];
  const std::string measured = values_text(consequence.fits);
  Finding finding = make_finding(wanted.finding, subject_of(function), values_text(wanted.accepted),
                                 fmt::format("{} as measured", measured));
  raise_to_fault(finding);
  finding.consequence =
      fmt::format("Straps and measurement contradict each other: with {} the unit measures {}. {}",
                  standing(straps_of(kit_.board.functions[function])), measured, finding.consequence);
  finding.remedy =
      "Supply off; look at the straps themselves: a sense line may be stuck, or a strap was moved since the "
      "last reset.";
  findings_.push_back(std::move(finding));
}

void StrapFindings::add_strap(std::size_t strap) {
  const Item& item = items_[strap];
  if (item.state != State::kMismatch) return;
  if (readings_[strap].impossible) {
    findings_.push_back(make_finding(FindingId::kStrapImpossible, item.subject, item.expected, item.actual));
    return;
  }
  if (names_strap(strap)) return;
  for (std::size_t f = 0; f < expectation_.functions.size(); ++f) {
    const expect::ExpectedFunction& wanted = expectation_.functions[f];
    if (!wanted.used || !depends_on(kit_.board.functions[f], strap)) continue;
    Finding finding = make_finding(wanted.finding, item.subject, item.expected, item.actual);
    raise_to_fault(finding);
    finding.remedy = remedy({strap});
    findings_.push_back(std::move(finding));
    return;
  }
}

}  // namespace host::verify
