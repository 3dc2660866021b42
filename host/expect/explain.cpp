#include <algorithm>

#include "host/expect/consequences.hpp"
#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/rows.hpp"

namespace host::expect {
namespace {

using model::Finding;
using model::FindingId;
using model::Position;
using model::Severity;

class Explainer {
 public:
  Explainer(const model::Kit& kit, const Expectation& expectation, const JointPosition& given)
      : kit_(kit), expectation_(expectation), given_(given), named_(kit.board.straps.size(), false) {
    given_.resize(kit.board.straps.size());
  }

  Findings run() {
    for (std::size_t strap = 0; strap < given_.size(); ++strap) {
      if (given_[strap] && !possible(kit_.board.straps[strap], *given_[strap])) explain_impossible(strap);
    }
    for (std::size_t f = 0; f < kit_.board.functions.size(); ++f) {
      if (expectation_.functions[f].used) explain_function(f);
    }
    for (std::size_t strap = 0; strap < given_.size(); ++strap) {
      if (wrong(strap) && !named_[strap]) explain_strap(strap);
    }
    sort_by_severity(findings_);
    return std::move(findings_);
  }

 private:
  [[nodiscard]] const model::Strap& strap_of(std::size_t strap) const { return kit_.board.straps[strap]; }

  [[nodiscard]] bool wrong(std::size_t strap) const {
    const auto& accepted = expectation_.straps[strap].accepted;
    return given_[strap] && std::ranges::find(accepted, *given_[strap]) == accepted.end();
  }

  [[nodiscard]] std::string accepted_text(std::size_t strap) const {
    std::string text;
    for (const Position position : expectation_.straps[strap].accepted) {
      text += phrase(text.empty() ? "" : " or ", to_text(strap_of(strap), position));
    }
    return text.empty() ? "none" : text;
  }

  // "BR1 at 2-3 and BR2 at open"
  [[nodiscard]] std::string standing(const std::vector<std::size_t>& straps) const {
    std::string text;
    for (const std::size_t strap : straps) {
      if (!given_[strap]) continue;
      text += phrase(text.empty() ? "" : " and ", strap_of(strap).id, " at ",
                     to_text(strap_of(strap), *given_[strap]));
    }
    return text;
  }

  // "BR2 at 3-4 selects "
  [[nodiscard]] std::string selecting(const std::vector<std::size_t>& straps) const {
    const auto known =
        std::ranges::count_if(straps, [&](std::size_t strap) { return given_[strap].has_value(); });
    return phrase(standing(straps), known == 1 ? " selects " : " select ");
  }

  [[nodiscard]] std::string remedy(const std::vector<std::size_t>& straps) const {
    std::string text;
    for (const std::size_t strap : straps) {
      const ExpectedStrap& expected = expectation_.straps[strap];
      if (expected.accepted.empty())
        return "No position of these straps suits this kit; see what is wrong on paper.";
      text += phrase(text.empty() ? "Supply off, then " : ", ", strap_of(strap).id, " to ",
                     to_text(strap_of(strap), expected.position));
    }
    return text + ".";
  }

  void explain_impossible(std::size_t strap) {
    findings_.push_back(model::make_finding(FindingId::kStrapImpossible,
                                            phrase("straps.", strap_of(strap).id), accepted_text(strap),
                                            to_text(strap_of(strap), *given_[strap])));
    named_[strap] = true;
  }

  void explain_function(std::size_t f) {
    const model::Function& function = kit_.board.functions[f];
    const ExpectedFunction& expected = expectation_.functions[f];
    const Selection selection = select(kit_.board, function, given_);
    const auto accepted = [&](const model::FunctionValue& value) {
      return std::ranges::find(expected.accepted, value) != expected.accepted.end();
    };
    switch (selection.state) {
      case Selection::State::kUndefined: return explain_undefined(f);
      case Selection::State::kValue:
        if (!accepted(*selection.value)) explain_value(f, {*selection.value});
        return;
      case Selection::State::kOpen:
        // Whatever the unknown straps are, none of what is left is right.
        if (std::ranges::none_of(selection.still_possible, accepted) &&
            !standing(straps_of(function)).empty()) {
          explain_value(f, selection.still_possible);
        }
        return;
    }
  }

  // Names the one strap that stands wrong, or the function when several do or each is accepted in itself.
  Finding& add(std::size_t f, FindingId id, const std::string& actual) {
    const ExpectedFunction& expected = expectation_.functions[f];
    const auto straps = straps_of(kit_.board.functions[f]);
    std::vector<std::size_t> mistaken;
    for (const std::size_t strap : straps) {
      if (wrong(strap)) mistaken.push_back(strap);
    }
    for (const std::size_t strap : mistaken) named_[strap] = true;
    if (mistaken.size() == 1) {
      const std::size_t strap = mistaken.front();
      findings_.push_back(model::make_finding(id, phrase("straps.", strap_of(strap).id), accepted_text(strap),
                                              to_text(strap_of(strap), *given_[strap])));
    } else {
      std::string values;
      for (const auto& value : expected.accepted)
        values += phrase(values.empty() ? "" : " or ", to_text(value));
      findings_.push_back(model::make_finding(id, phrase("functions.", to_text(expected.id)),
                                              values.empty() ? "none of the board's" : values,
                                              phrase(actual, " (", standing(straps), ")")));
    }
    findings_.back().remedy = remedy(mistaken.empty() ? straps : mistaken);
    return findings_.back();
  }

  void explain_value(std::size_t f, const std::vector<model::FunctionValue>& values) {
    const model::Function& function = kit_.board.functions[f];
    Harm worst{Severity::kNote, {}};
    std::string selected;
    for (const auto& value : values) {
      selected += phrase(selected.empty() ? "" : " or ", to_text(value));
      Harm harm = harm_of(kit_, function.id, value);
      if (worst.does.empty() || harm.severity < worst.severity) worst = std::move(harm);
    }
    Finding& finding = add(f, expectation_.functions[f].finding, selected);
    finding.severity = worst.severity;
    finding.consequence = phrase(selecting(straps_of(function)), selected, "; ", worst.does);
  }

  void explain_undefined(std::size_t f) {
    const model::Function& function = kit_.board.functions[f];
    const auto straps = straps_of(function);
    // A jumper that no cap can stand on so has been explained.
    for (const std::size_t strap : straps) {
      if (given_[strap] && !possible(strap_of(strap), *given_[strap])) return;
    }
    Finding& finding = add(f, FindingId::kStrapsUndefined, "undefined");
    finding.consequence =
        phrase(selecting(straps), "nothing that the board's file describes for ", to_text(function.id), ".");
  }

  // Wrong though no function is wrong for certain yet: no position of the straps not given makes all right.
  void explain_strap(std::size_t strap) {
    const auto& functions = expectation_.straps[strap].functions;
    FindingId id = FindingId::kStrapsUndefined;
    for (const ExpectedFunction& expected : expectation_.functions) {
      const bool depends = std::ranges::find(functions, expected.id) != functions.end();
      if (expected.used && depends && id == FindingId::kStrapsUndefined) id = expected.finding;
    }
    Finding finding = model::make_finding(id, phrase("straps.", strap_of(strap).id), accepted_text(strap),
                                          to_text(strap_of(strap), *given_[strap]));
    finding.severity = Severity::kFault;
    finding.consequence = phrase(strap_of(strap).id, " at ", to_text(strap_of(strap), *given_[strap]),
                                 ": no position of the other straps gives this kit what it needs.");
    finding.remedy = remedy({strap});
    findings_.push_back(std::move(finding));
  }

  const model::Kit& kit_;
  const Expectation& expectation_;
  JointPosition given_;
  std::vector<bool> named_;
  Findings findings_;
};

}  // namespace

std::vector<Finding> explain(const model::Kit& kit, const Expectation& expectation,
                             const JointPosition& given) {
  return Explainer(kit, expectation, given).run();
}

}  // namespace host::expect
