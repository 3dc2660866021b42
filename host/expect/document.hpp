#pragma once

#include <string>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/expect/straps.hpp"
#include "host/model/kit.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::expect {

/// A kit as judged on paper: what is wrong with it, and with the positions given.
struct PaperJudgement {
  std::vector<model::Finding> findings;  // gravest first
  bool fails = false;                    // some finding is a fault or a danger
  bool danger = false;
};

/// Judges a kit on paper. `given` is empty, or one entry a strap of the board, empty where not given.
[[nodiscard]] PaperJudgement judge_on_paper(const model::Kit& kit, const Expectation& expectation,
                                            const JointPosition& given);

/// What `check` shows: straps to set, drawn, beside those given; readings to expect and why; link, timing,
/// supply and light; findings; verdict.
[[nodiscard]] report::Document to_document(const model::Kit& kit, const Expectation& expectation,
                                           const JointPosition& given);

/// The same as JSON of the shape strapline/check/1 (check.schema.json). A part that was not computed is
/// absent.
[[nodiscard]] report::json::Value to_json(const model::Kit& kit, const Expectation& expectation,
                                          const JointPosition& given);

/// The members every document names a kit by: id, title, revision, digest.
[[nodiscard]] report::json::Value kit_json(const model::Kit& kit);

/// A finding as every document carries it: id, severity, subject, expected, actual, consequence, remedy.
[[nodiscard]] report::json::Value finding_json(const model::Finding& finding);

/// How a strap can be known on this board: "sensed", "at-reset", "declared"; "inferred" when no pin senses it
/// and a reading tells a function of it apart; else "attested".
[[nodiscard]] std::string evidence_possible(const model::Kit& kit, const Expectation& expectation,
                                            const ExpectedStrap& strap);

}  // namespace host::expect
