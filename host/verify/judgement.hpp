#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/finding.hpp"
#include "host/model/kit.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

enum class Verdict { kPass, kFail, kIncomplete };
enum class State { kMatch, kMarginal, kMismatch, kUnread };

[[nodiscard]] std::string_view to_text(Verdict verdict);  // "pass", "fail", "incomplete"
[[nodiscard]] std::string_view to_text(State state);      // "match", "marginal", "mismatch", "unread"

/// One thing that was held against the expectation.
struct Item {
  std::string subject;   // "straps.BR1", "functions.panel-supply", "rails.panel_out_mv"
  std::string expected;  // "1-2", "3135..3465 mV"
  std::string actual;    // "2-3", "5012 mV"; empty when unread
  model::Evidence evidence = model::Evidence::kUnread;
  State state = State::kUnread;
  std::string by;      // who attested it; empty for all other evidence
  std::string reason;  // why unread or not accepted: "not-sensed", "asleep", "no-edges", "not-fitted",
                       // "not-read", "within-uncertainty", "not-measured", "other-board"; empty when accepted
  bool required = true;
};

/// Whether an item is settled as it should be: inside its limits, by evidence the kit accepts.
[[nodiscard]] bool is_met(const Item& item);

/// What a person says a strap's position is.
struct Attestation {
  std::string strap;  // id
  model::Position position;
  std::string by;
};

/// How many items a pass needs, how many of them were read by evidence that counts (well or ill), and how
/// many of those rest on a person's word.
struct Coverage {
  int required = 0, known = 0, attested = 0;
};

/// The outcome of one verification.
struct Judgement {
  Verdict verdict = Verdict::kIncomplete;
  bool danger = false;
  std::vector<Item> items;
  std::vector<model::Finding> findings;  // gravest first
  Coverage coverage;
  std::string why;   // one sentence: what decided
  std::string next;  // one sentence: what to do now
};

/// What a caller asks beyond the kit itself.
struct Demands {
  std::vector<Attestation> attestations;
  std::optional<std::string> serial;  // the serial number that was scanned or given
};

/// Holds a snapshot against an expectation. A pure function of its arguments.
///
/// Order    a broken line gate, a wrong unit or one that died midway is incomplete before all else, danger
/// still
///          shown; then any mismatch, or a kit that can't work on paper, is fail, even if something is
///          unread; then any required item not known by evidence the kit accepts, or a snapshot that isn't
///          acceptable, is incomplete; else pass, warnings shown.
/// Source   the decision rule with uncertainty follows ISO 14253-1: accepted when reading ± uncertainty is
///          inside, a mismatch when wholly outside, marginal between.
[[nodiscard]] Judgement judge(const model::Kit& kit, const expect::Expectation& expectation,
                              const Snapshot& snapshot, const Demands& demands);

}  // namespace host::verify
