#include "host/verify/judgement.hpp"

#include <algorithm>
#include <iterator>
#include <optional>
#include <utility>

#include "host/verify/circumstances.hpp"
#include "host/verify/edid_item.hpp"
#include "host/verify/point_items.hpp"
#include "host/verify/strap_items.hpp"
#include "host/verify/verdict.hpp"
#include "host/verify/wording.hpp"

namespace host::verify {
namespace {

using protocol::points::Point;

template <typename T>
void append(std::vector<T>& to, std::vector<T> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

// On another board the same words stand for other straps, so nothing is said about them.
bool is_other_board(const expect::Expectation& expectation, const Snapshot& snapshot) {
  const auto* board = reading_of(snapshot, Point::kIdentityBoard);
  if (board == nullptr || board->kind != protocol::points::Reading::Kind::kText) return false;
  for (const expect::ExpectedPoint& expected : expectation.points) {
    if (expected.point == Point::kIdentityBoard) {
      return board->text() != expected.text && !(board->text().empty() && expected.blank_is_well);
    }
  }
  return false;
}

void forget_reading(Item& item) {
  item.actual.clear();
  item.evidence = model::Evidence::kUnread;
  item.state = State::kUnread;
  item.reason = "other-board";
}

void forget_readings(std::vector<Item>& items) {
  for (Item& item : items) forget_reading(item);
}

// What a source was told explains what it sends, so it stands ahead of that.
void put_before_input(std::vector<model::Finding>& findings, std::vector<model::Finding> causes) {
  const auto effect = std::find_if(findings.begin(), findings.end(), [](const model::Finding& finding) {
    return finding.subject.starts_with("input.");
  });
  findings.insert(effect, std::make_move_iterator(causes.begin()), std::make_move_iterator(causes.end()));
}

// What was read takes the place of what the board's file made expect.
void append_paper_findings(Judgement& judgement, const expect::Expectation& expectation,
                           const std::optional<JudgedPoint>& edid) {
  for (const model::Finding& finding : expectation.findings) {
    const bool said = edid && !edid->findings.empty() && edid->findings.front().id == finding.id;
    if (!said) judgement.findings.push_back(finding);
  }
}

}  // namespace

std::string_view to_text(Verdict verdict) {
  switch (verdict) {
    case Verdict::kPass: return "pass";
    case Verdict::kFail: return "fail";
    case Verdict::kIncomplete: break;
  }
  return "incomplete";
}

std::string_view to_text(State state) {
  switch (state) {
    case State::kMatch: return "match";
    case State::kMarginal: return "marginal";
    case State::kMismatch: return "mismatch";
    case State::kUnread: break;
  }
  return "unread";
}

bool is_met(const Item& item) {
  return (item.state == State::kMatch || item.state == State::kMarginal) && item.reason.empty() &&
         item.evidence != model::Evidence::kUnread;
}

Judgement judge(const model::Kit& kit, const expect::Expectation& expectation, const Snapshot& snapshot,
                const Demands& demands) {
  Judgement judgement;
  JudgedStraps straps = judge_straps(kit, expectation, snapshot, demands);
  std::optional<JudgedPoint> edid = judge_edid_read(kit, expectation, snapshot);
  if (is_other_board(expectation, snapshot)) {
    forget_readings(straps.straps);
    forget_readings(straps.functions);
    straps.findings.clear();
    if (edid) {
      forget_reading(edid->item);
      edid->findings.clear();
    }
  }
  append(judgement.items, std::move(straps.straps));
  append(judgement.items, std::move(straps.functions));
  append(judgement.findings, std::move(straps.findings));
  for (const expect::ExpectedPoint& expected : expectation.points) {
    JudgedPoint judged = judge_point(kit, expected, snapshot);
    judgement.items.push_back(std::move(judged.item));
    append(judgement.findings, std::move(judged.findings));
  }
  append_paper_findings(judgement, expectation, edid);
  if (edid) {
    judgement.items.push_back(std::move(edid->item));
    put_before_input(judgement.findings, std::move(edid->findings));
  }
  const Circumstances circumstances = look_at_circumstances(kit, snapshot, demands);
  append(judgement.findings, circumstances.findings);
  settle(judgement, kit, expectation, snapshot, circumstances);
  return judgement;
}

}  // namespace host::verify
