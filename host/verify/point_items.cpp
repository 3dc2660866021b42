#include "host/verify/point_items.hpp"

#include <optional>
#include <utility>

#include "host/verify/decision.hpp"
#include "host/verify/wording.hpp"
#include "protocol/points/words.hpp"

namespace host::verify {
namespace {

using model::Evidence;
using model::FindingId;
using model::Severity;
using protocol::points::Point;
using protocol::points::Reading;

bool is_grave(Severity severity) {
  return severity == Severity::kDanger || severity == Severity::kFault;
}

struct Breach {
  const expect::Limit* limit = nullptr;
  FindingId id = FindingId::kCount;
};

// The gravest limit the reading lies wholly beyond; limits stand gravest first.
std::optional<Breach> broken_limit(const expect::ExpectedPoint& expected, std::int64_t reading) {
  const std::int64_t uncertainty = expected.uncertainty.at(reading);
  for (const expect::Limit& limit : expected.limits) {
    const Standing standing = decide(reading, uncertainty, limit.bounds);
    if (standing == Standing::kBelow) return Breach{&limit, limit.low};
    if (standing == Standing::kAbove) return Breach{&limit, limit.high};
  }
  return std::nullopt;
}

bool uncertain(const expect::ExpectedPoint& expected, std::int64_t reading) {
  const std::int64_t uncertainty = expected.uncertainty.at(reading);
  if (decide(reading, uncertainty, expected.bounds) == Standing::kUncertain) return true;
  for (const expect::Limit& limit : expected.limits) {
    if (is_grave(limit.severity) && decide(reading, uncertainty, limit.bounds) == Standing::kUncertain) {
      return true;
    }
  }
  return false;
}

// A reading above a limit that protects a part or a person.
bool dangerous_asleep(const expect::ExpectedPoint& expected, std::int64_t reading) {
  for (const expect::Limit& limit : expected.limits) {
    if (limit.severity != Severity::kDanger) continue;
    if (decide(reading, expected.uncertainty.at(reading), limit.bounds) == Standing::kAbove) return true;
  }
  return false;
}

// Whether the reading says nothing because the unit sleeps. Standby, no signal and waking are states of a
// sound unit; latched off is not.
bool sleeps(const expect::ExpectedPoint& expected, std::int64_t reading, bool unit_awake) {
  if (expected.point == Point::kPowerState) {
    return !unit_awake && protocol::points::choice(Point::kPowerState, reading) != "latched";
  }
  return expected.needs_awake && !unit_awake && !dangerous_asleep(expected, reading);
}

// Where nothing but a warning limits, that limit is what to show.
model::Bounds<std::int64_t> shown_bounds(const expect::ExpectedPoint& expected) {
  const bool limited = expected.bounds.min || expected.bounds.max;
  return limited || expected.limits.empty() ? expected.bounds : expected.limits.front().bounds;
}

void add_finding(JudgedPoint& judged, const expect::ExpectedPoint& expected, const Breach& breach) {
  if (breach.id == FindingId::kCount) return;
  const bool grave = is_grave(breach.limit->severity);
  const std::string limits = grave ? judged.item.expected : range_text(expected.point, breach.limit->bounds);
  model::Finding finding = make_finding(breach.id, judged.item.subject, limits, judged.item.actual);
  finding.severity = breach.limit->severity;
  judged.findings.push_back(std::move(finding));
}

void judge_number(JudgedPoint& judged, const model::Kit& kit, const expect::ExpectedPoint& expected,
                  std::int64_t reading, bool unit_awake) {
  judged.item.actual = value_text(expected.point, reading);
  if (sleeps(expected, reading, unit_awake)) {
    judged.item.reason = "asleep";
    return;
  }
  judged.item.evidence = kit.board.evidence_of(expected.point);
  const std::optional<Breach> breach = broken_limit(expected, reading);
  if (breach) add_finding(judged, expected, *breach);
  const Standing whole = decide(reading, expected.uncertainty.at(reading), expected.bounds);
  const bool outside =
      (breach && is_grave(breach->limit->severity)) || whole == Standing::kBelow || whole == Standing::kAbove;
  if (outside) {
    judged.item.state = State::kMismatch;
    return;
  }
  judged.item.state = uncertain(expected, reading) ? State::kMarginal : State::kMatch;
  if (judged.item.state == State::kMarginal && !kit.accept.marginal) {
    judged.item.reason = "within-uncertainty";
  }
}

void judge_text(JudgedPoint& judged, const model::Kit& kit, const expect::ExpectedPoint& expected,
                const Reading& reading) {
  judged.item.actual = text_of(reading);
  judged.item.evidence = kit.board.evidence_of(expected.point);
  judged.item.state = State::kMatch;
  if (reading.text() == expected.text || (reading.text().empty() && expected.blank_is_well)) return;
  if (expected.limits.empty()) {
    judged.item.state = State::kMismatch;
    return;
  }
  const expect::Limit& limit = expected.limits.front();
  if (limit.low == FindingId::kCount) {
    judged.item.state = State::kMismatch;
    return;
  }
  if (is_grave(limit.severity)) judged.item.state = State::kMismatch;
  model::Finding finding =
      make_finding(limit.low, judged.item.subject, judged.item.expected, judged.item.actual);
  finding.severity = limit.severity;
  judged.findings.push_back(std::move(finding));
}

// What can destroy a part is met by what was measured, not by what somebody believes.
void demand_measurement(Item& item, const expect::ExpectedPoint& expected) {
  if (!expected.can_destroy || item.state == State::kMismatch || item.state == State::kUnread) return;
  if (item.evidence == Evidence::kMeasured || item.evidence == Evidence::kInferred) return;
  item.reason = "not-measured";
}

}  // namespace

JudgedPoint judge_point(const model::Kit& kit, const expect::ExpectedPoint& expected,
                        const Snapshot& snapshot) {
  const bool is_text = protocol::points::is_text(protocol::points::layout(expected.point).type);
  JudgedPoint judged;
  judged.item.subject = protocol::points::words(expected.point).name;
  judged.item.expected = is_text ? expected.text : range_text(expected.point, shown_bounds(expected));
  judged.item.required = expected.required;

  const Reading* reading = reading_of(snapshot, expected.point);
  if (reading == nullptr) {
    judged.item.reason = snapshot.trouble.empty() ? "not-fitted" : "not-read";
  } else if (reading->kind == Reading::Kind::kUnread) {
    judged.item.reason = to_text(reading->unread);
  } else if (is_text != (reading->kind == Reading::Kind::kText)) {
    judged.item.reason = "not-read";
  } else if (is_text) {
    judge_text(judged, kit, expected, *reading);
  } else {
    judge_number(judged, kit, expected, reading->number, awake(snapshot));
  }
  demand_measurement(judged.item, expected);
  return judged;
}

}  // namespace host::verify
