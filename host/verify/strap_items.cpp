#include "host/verify/strap_items.hpp"

#include <algorithm>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "host/expect/straps.hpp"
#include "host/verify/consequence.hpp"
#include "host/verify/inference.hpp"
#include "host/verify/strap_findings.hpp"
#include "host/verify/strap_readings.hpp"

namespace host::verify {
namespace {

using model::Evidence;
using model::FunctionValue;
using model::Position;

template <typename T>
bool is_in(const std::vector<T>& all, const T& one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

template <typename T>
bool none_in(const std::vector<T>& some, const std::vector<T>& all) {
  return std::none_of(some.begin(), some.end(), [&](const T& one) { return is_in(all, one); });
}

template <typename T>
bool all_in(const std::vector<T>& some, const std::vector<T>& all) {
  return std::all_of(some.begin(), some.end(), [&](const T& one) { return is_in(all, one); });
}

// Weaker than a sense that is live: not enough by itself where a part can be destroyed.
bool is_weak(Evidence evidence) {
  return evidence == Evidence::kAtReset || evidence == Evidence::kDeclared || evidence == Evidence::kAttested;
}

class StrapJudge {
 public:
  StrapJudge(const model::Kit& kit, const expect::Expectation& expectation, const Snapshot& snapshot,
             const Demands& demands)
      : kit_{kit},
        expectation_{expectation},
        readings_{read_straps(kit, snapshot, demands)},
        joint_{joint_of(readings_)} {
    for (std::size_t f = 0; f < kit.board.functions.size(); ++f) {
      consequences_.push_back(consequence_of(kit, expectation, f, snapshot));
    }
    inference_ = infer(kit.board, joint_, consequences_);
  }

  JudgedStraps judge() {
    JudgedStraps judged;
    for (std::size_t s = 0; s < readings_.size(); ++s) judged.straps.push_back(strap_item(s));
    StrapFindings findings{kit_, expectation_, readings_, judged.straps, inferred_wrong(judged.straps)};
    for (std::size_t f = 0; f < expectation_.functions.size(); ++f) {
      if (!expectation_.functions[f].used) continue;
      const bool contradiction = selects_what_it_should(f) && contradicted(f);
      judged.functions.push_back(function_item(f));
      if (judged.functions.back().state != State::kMismatch) continue;
      if (contradiction) {
        findings.add_contradiction(f, *consequences_[f]);
      } else {
        findings.add_function(f, judged.functions.back().actual);
      }
    }
    for (std::size_t s = 0; s < readings_.size(); ++s) findings.add_strap(s);
    judged.findings = findings.take();
    return judged;
  }

 private:
  const model::Kit& kit_;
  const expect::Expectation& expectation_;
  std::vector<StrapReading> readings_;
  expect::JointPosition joint_;
  std::vector<std::optional<Consequence>> consequences_;
  Inference inference_;

  // The straps that a measurement leaves exactly one position, and a wrong one.
  [[nodiscard]] expect::JointPosition inferred_wrong(const std::vector<Item>& straps) const {
    expect::JointPosition wrong(straps.size());
    for (std::size_t s = 0; s < straps.size(); ++s) {
      const auto& possible = inference_.possible[s];
      if (straps[s].state == State::kMismatch && straps[s].evidence == Evidence::kInferred &&
          possible->size() == 1) {
        wrong[s] = possible->front();
      }
    }
    return wrong;
  }

  [[nodiscard]] expect::Selection selected(std::size_t f) const {
    return expect::select(kit_.board, kit_.board.functions[f], joint_);
  }

  [[nodiscard]] bool selects_what_it_should(std::size_t f) const {
    const expect::Selection selection = selected(f);
    if (selection.state == expect::Selection::State::kOpen) {
      return !none_in(selection.still_possible, expectation_.functions[f].accepted);
    }
    return selection.value && is_in(expectation_.functions[f].accepted, *selection.value);
  }

  // Measured, and no position of the straps that aren't known explains it.
  [[nodiscard]] bool contradicted(std::size_t f) const { return inference_.contradicted[f]; }

  // Measured, and whatever value the reading may stand for is one this kit needs.
  [[nodiscard]] bool confirmed(std::size_t f) const {
    return consequences_[f] && !contradicted(f) && !consequences_[f]->fits.empty() &&
           all_in(consequences_[f]->fits, expectation_.functions[f].accepted);
  }

  [[nodiscard]] bool feeds_unconfirmed_destroyer(std::size_t strap) const {
    for (std::size_t f = 0; f < expectation_.functions.size(); ++f) {
      const expect::ExpectedFunction& wanted = expectation_.functions[f];
      if (!wanted.used || !wanted.can_destroy || confirmed(f)) continue;
      if (is_in(straps_of(kit_.board.functions[f]), strap)) return true;
    }
    return false;
  }

  [[nodiscard]] Item strap_item(std::size_t s) const {
    const model::Strap& strap = kit_.board.straps[s];
    const expect::ExpectedStrap& wanted = expectation_.straps[s];
    const StrapReading& known = readings_[s];
    Item item;
    item.subject = "straps." + strap.id;
    item.required = wanted.required;
    item.expected = wanted.required ? positions_text(strap, wanted.accepted) : "any";
    item.reason = known.reason;
    const auto suits = [&](Position position) {
      return !wanted.required || is_in(wanted.accepted, position);
    };

    if (known.impossible) {
      item.actual = fmt::format("impossible ({:04X}h)", known.word);
      item.evidence = known.evidence;
      item.state = State::kMismatch;
    } else if (known.position) {
      item.actual = to_text(strap, *known.position);
      item.evidence = known.evidence;
      if (item.evidence == Evidence::kAttested) item.by = known.seen_by;
      item.state = suits(*known.position) ? State::kMatch : State::kMismatch;
      if (item.state == State::kMatch && is_weak(known.evidence) && feeds_unconfirmed_destroyer(s)) {
        item.reason = "not-measured";
      }
    } else if (inference_.possible[s]) {
      infer_item(item, strap, wanted, *inference_.possible[s]);
    }
    contradict_by_eye(item, strap, known, suits);
    return item;
  }

  static void infer_item(Item& item, const model::Strap& strap, const expect::ExpectedStrap& wanted,
                         const std::vector<Position>& possible) {
    if (possible.empty() || !wanted.required) return;
    const bool right = all_in(possible, wanted.accepted);
    if (!right && !none_in(possible, wanted.accepted)) return;
    item.actual = positions_text(strap, possible);
    item.evidence = Evidence::kInferred;
    item.state = right ? State::kMatch : State::kMismatch;
    item.reason.clear();
  }

  // A person who sees a wrong position is never talked down by a pin.
  template <typename Suits>
  static void contradict_by_eye(Item& item, const model::Strap& strap, const StrapReading& known,
                                const Suits& suits) {
    if (!known.seen || suits(*known.seen) || item.state == State::kMismatch) return;
    item.actual = to_text(strap, *known.seen);
    item.evidence = Evidence::kAttested;
    item.by = known.seen_by;
    item.state = State::kMismatch;
    item.reason = known.position ? "sensed otherwise" : "";
  }

  [[nodiscard]] Item function_item(std::size_t f) const {
    const expect::ExpectedFunction& wanted = expectation_.functions[f];
    Item item;
    item.subject = fmt::format("functions.{}", to_text(wanted.id));
    item.expected = values_text(wanted.accepted);
    const expect::Selection selection = selected(f);
    switch (selection.state) {
      case expect::Selection::State::kUndefined:
        item.actual = "undefined";
        item.evidence = weakest_evidence(f);
        item.state = State::kMismatch;
        break;
      case expect::Selection::State::kValue:
        item.actual = to_text(*selection.value);
        item.evidence = weakest_evidence(f);
        item.state = is_in(wanted.accepted, *selection.value) ? State::kMatch : State::kMismatch;
        break;
      case expect::Selection::State::kOpen: judge_open(item, f, selection); break;
    }
    if (contradicted(f) && item.state != State::kMismatch) {
      item.actual = values_text(consequences_[f]->fits);
      item.evidence = Evidence::kMeasured;
      item.state = State::kMismatch;
      item.reason.clear();
    }
    if (item.state != State::kMatch) return item;
    if (confirmed(f)) {
      item.evidence = Evidence::kMeasured;
    } else if (wanted.can_destroy) {
      item.reason = "not-measured";
    }
    return item;
  }

  // Some strap isn't known; a measurement may still tell what they select together.
  void judge_open(Item& item, std::size_t f, const expect::Selection& selection) const {
    const auto& accepted = expectation_.functions[f].accepted;
    const auto& consequence = consequences_[f];
    if (consequence && !consequence->fits.empty()) {
      const bool right = all_in(consequence->fits, accepted);
      if (right || none_in(consequence->fits, accepted)) {
        item.actual = values_text(consequence->fits);
        item.evidence = Evidence::kMeasured;
        item.state = right ? State::kMatch : State::kMismatch;
        return;
      }
    }
    if (!selection.still_possible.empty() && none_in(selection.still_possible, accepted)) {
      item.actual = values_text(selection.still_possible);
      item.evidence = weakest_evidence(f);
      item.state = State::kMismatch;
      return;
    }
    for (const std::size_t s : straps_of(kit_.board.functions[f])) {
      if (!joint_[s]) item.reason = readings_[s].reason;
    }
  }

  [[nodiscard]] Evidence weakest_evidence(std::size_t f) const {
    Evidence weakest = Evidence::kSensed;
    for (const std::size_t s : straps_of(kit_.board.functions[f])) {
      if (joint_[s]) weakest = std::max(weakest, readings_[s].evidence);
    }
    return weakest;
  }
};

}  // namespace

JudgedStraps judge_straps(const model::Kit& kit, const expect::Expectation& expectation,
                          const Snapshot& snapshot, const Demands& demands) {
  return StrapJudge{kit, expectation, snapshot, demands}.judge();
}

}  // namespace host::verify
