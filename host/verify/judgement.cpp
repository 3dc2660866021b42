#include "host/verify/judgement.hpp"

#include <iterator>
#include <utility>

#include "host/verify/circumstances.hpp"
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

void forget_readings(std::vector<Item>& items) {
  for (Item& item : items) {
    item.actual.clear();
    item.evidence = model::Evidence::kUnread;
    item.state = State::kUnread;
    item.reason = "other-board";
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
  if (is_other_board(expectation, snapshot)) {
    forget_readings(straps.straps);
    forget_readings(straps.functions);
    straps.findings.clear();
  }
  append(judgement.items, std::move(straps.straps));
  append(judgement.items, std::move(straps.functions));
  append(judgement.findings, std::move(straps.findings));
  for (const expect::ExpectedPoint& expected : expectation.points) {
    JudgedPoint judged = judge_point(kit, expected, snapshot);
    judgement.items.push_back(std::move(judged.item));
    append(judgement.findings, std::move(judged.findings));
  }
  append(judgement.findings, expectation.findings);
  const Circumstances circumstances = look_at_circumstances(kit, snapshot, demands);
  append(judgement.findings, circumstances.findings);
  settle(judgement, kit, expectation, snapshot, circumstances);
  return judgement;
}

}  // namespace host::verify
