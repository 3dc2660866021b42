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

// As read; where nothing was read, as a person saw it.
expect::JointPosition all_told(const std::vector<StrapReading>& readings) {
  expect::JointPosition joint;
  for (const StrapReading& reading : readings) {
    joint.push_back(reading.position ? reading.position : reading.seen);
  }
  return joint;
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
                             const std::vector<StrapReading>& readings, const std::vector<Item>& items)
    : kit_{kit},
      expectation_{expectation},
      readings_{readings},
      items_{items},
      explained_{expect::explain(kit, expectation, all_told(readings))},
      named_(items.size(), false) {}

std::string StrapFindings::position_text(std::size_t strap) const {
  const Item& item = items_[strap];
  return fmt::format("{} {}", kit_.board.straps[strap].id, item.actual.empty() ? "unread" : item.actual);
}

void StrapFindings::make_particular(Finding& finding, FindingId kind,
                                    const std::vector<std::size_t>& straps) {
  for (const Finding& explained : explained_) {
    if (explained.id != finding.id && explained.id != kind) continue;
    finding.severity = std::min(finding.severity, explained.severity);
    if (explained.id == finding.id) finding.consequence = explained.consequence;
    break;
  }
  finding.severity = std::min(finding.severity, Severity::kFault);
  std::string positions;
  for (const std::size_t s : straps) {
    if (expectation_.straps[s].accepted.empty()) return;  // no position mends it
    if (!positions.empty()) positions += ", ";
    positions += fmt::format("{} to {}", kit_.board.straps[s].id,
                             to_text(kit_.board.straps[s], expectation_.straps[s].position));
  }
  finding.remedy = fmt::format("Supply off, then {}.", positions);
}

void StrapFindings::add_function(std::size_t function, const std::string& actual) {
  const expect::ExpectedFunction& wanted = expectation_.functions[function];
  const std::vector<std::size_t> straps = straps_of(kit_.board.functions[function]);
  std::vector<std::size_t> wrong;
  for (const std::size_t s : straps) {
    if (items_[s].state == State::kMismatch) wrong.push_back(s);
  }
  const FindingId id = actual == "undefined" ? FindingId::kStrapsUndefined : wanted.finding;
  Finding finding;
  if (wrong.size() == 1) {
    const Item& item = items_[wrong.front()];
    finding = make_finding(id, item.subject, item.expected, item.actual);
    named_[wrong.front()] = true;
  } else {
    std::string stand;
    for (const std::size_t s : straps)
      stand += fmt::format("{}{}", stand.empty() ? "" : ", ", position_text(s));
    finding = make_finding(id, fmt::format("functions.{}", to_text(wanted.id)), values_text(wanted.accepted),
                           fmt::format("{} ({})", actual, stand));
    for (const std::size_t s : wrong) named_[s] = true;
  }
  make_particular(finding, wanted.finding, wrong.empty() ? straps : wrong);
  findings_.push_back(std::move(finding));
}

void StrapFindings::add_contradiction(std::size_t function, const Consequence& consequence) {
  const expect::ExpectedFunction& wanted = expectation_.functions[function];
  std::string stand;
  for (const std::size_t s : straps_of(kit_.board.functions[function])) {
    stand += fmt::format("{}{}", stand.empty() ? "" : ", ", position_text(s));
  }
  Finding finding = make_finding(wanted.finding, fmt::format("functions.{}", to_text(wanted.id)),
                                 values_text(wanted.accepted),
                                 fmt::format("{} as measured", values_text(consequence.fits)));
  finding.severity = std::min(finding.severity, Severity::kFault);
  finding.consequence =
      fmt::format("Straps and measurement contradict each other: with {} the unit measures {}. {}", stand,
                  values_text(consequence.fits), finding.consequence);
  finding.remedy =
      "Supply off; look at the straps themselves, for a sense line may be stuck or a strap moved since the "
      "last "
      "reset.";
  findings_.push_back(std::move(finding));
}

void StrapFindings::add_strap(std::size_t strap) {
  const Item& item = items_[strap];
  if (item.state != State::kMismatch) return;
  if (readings_[strap].impossible) {
    findings_.push_back(make_finding(FindingId::kStrapImpossible, item.subject, item.expected, item.actual));
    return;
  }
  if (named_[strap]) return;
  for (std::size_t f = 0; f < expectation_.functions.size(); ++f) {
    const expect::ExpectedFunction& wanted = expectation_.functions[f];
    const std::vector<std::size_t> straps = straps_of(kit_.board.functions[f]);
    if (!wanted.used || std::find(straps.begin(), straps.end(), strap) == straps.end()) continue;
    Finding finding = make_finding(wanted.finding, item.subject, item.expected, item.actual);
    make_particular(finding, wanted.finding, {strap});
    findings_.push_back(std::move(finding));
    return;
  }
}

}  // namespace host::verify
