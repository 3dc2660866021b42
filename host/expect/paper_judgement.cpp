#include <algorithm>

#include "host/expect/document.hpp"
#include "host/expect/paper.hpp"

namespace host::expect {

PaperJudgement judge_on_paper(const model::Kit& kit, const Expectation& expectation,
                              const JointPosition& given) {
  PaperJudgement judgement;
  judgement.findings = expectation.findings;
  const bool any_given =
      std::ranges::any_of(given, [](const auto& position) { return position.has_value(); });
  if (any_given) {
    for (model::Finding& finding : explain(kit, expectation, given))
      judgement.findings.push_back(std::move(finding));
  }
  sort_by_severity(judgement.findings);
  for (const model::Finding& finding : judgement.findings) {
    judgement.danger |= finding.severity == model::Severity::kDanger;
    judgement.fails |= finding.severity <= model::Severity::kFault;
  }
  return judgement;
}

std::string evidence_possible(const model::Kit& kit, const Expectation& expectation,
                              const ExpectedStrap& strap) {
  const model::Strap& on_board = kit.board.straps[strap.strap];
  if (on_board.evidence != model::Evidence::kUnread) return std::string(to_text(on_board.evidence));
  for (const ExpectedFunction& function : expectation.functions) {
    const bool depends = std::ranges::find(strap.functions, function.id) != strap.functions.end();
    if (depends && function.consequence &&
        kit.board.evidence_of(*function.consequence) == model::Evidence::kMeasured) {
      return "inferred";
    }
  }
  return "attested";
}

}  // namespace host::expect
