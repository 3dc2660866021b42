#include <algorithm>
#include <deque>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using Json = tests::support::JsonDocument;
using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;
using tests::support::Running;

namespace {

// As many as two cores keep busy.
constexpr std::size_t kAtOnce = 3;

struct Trial {
  std::string strap, position;
  std::vector<std::string> subjects;  // that may be named: the strap, or a function it belongs to
};

Json checked(const std::string& kit) {
  const Outcome outcome = run(strapline({"check", kit, "--json"}));
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  return Json::parse(outcome.out);
}

bool is_in(const Json& all, const Json& one) {
  const auto elements = all.elements();
  return std::find(elements.begin(), elements.end(), one) != elements.end();
}

// Every position of every strap that the unit itself tells and that check doesn't accept.
std::vector<Trial> trials(const Json& expectation) {
  std::vector<Trial> all;
  for (const Json& strap : expectation["straps"].elements()) {
    const std::string evidence = strap["evidence_possible"].text();
    if (evidence == "attested" || evidence == "unread" || evidence == "not-sensed") continue;
    for (const Json& position : strap["positions"].elements()) {
      if (is_in(strap["accepted"], position)) continue;
      const std::string id = strap["id"].text();
      Trial trial{id, position.text(), {"straps." + id}};
      for (const Json& function : strap["functions"].elements())
        trial.subjects.push_back("functions." + function.text());
      all.push_back(std::move(trial));
    }
  }
  return all;
}

std::int64_t panel_rail_max(const Json& expectation) {
  for (const Json& point : expectation["points"].elements()) {
    if (point["point"] == "rails.panel_selected_mv") return point["max"].number();
  }
  FAIL("the expectation has no panel rail");
  return 0;
}

void judge(const Trial& trial, const Outcome& outcome, std::int64_t rail_max, int& dangers) {
  CAPTURE(trial.strap);
  CAPTURE(trial.position);
  CAPTURE(outcome.err);
  CHECK(outcome.exit_code == 1);
  const Json answer = Json::parse(outcome.out);
  CHECK(answer["verdict"] == "fail");
  const auto findings = answer["findings"].elements();
  CHECK(std::any_of(findings.begin(), findings.end(), [&](const Json& finding) {
    const auto& subjects = trial.subjects;
    return std::find(subjects.begin(), subjects.end(), finding["subject"].text()) != subjects.end();
  }));
  // A quarter above the limit is beyond any uncertainty of a reading.
  if (answer["snapshot"]["points"]["rails.panel_selected_mv"].number() * 4 > rail_max * 5) {
    CHECK(answer["danger"] == true);
    ++dangers;
  }
}

}  // namespace

TEST_SUITE("e2e/sweep") {
  TEST_CASE("a simulated unit passes as its kit is, and fails by name in every other strap position") {
    for (const std::string kit : {"stop-display", "cab-display", "ticket-machine", "control-wall"}) {
      CAPTURE(kit);
      const Outcome whole = run(strapline({"verify", kit, "--link", "sim:" + kit, "--json"}));
      CAPTURE(whole.err);
      CHECK(whole.exit_code == 0);
      CHECK(Json::parse(whole.out)["verdict"] == "pass");

      const Json expectation = checked(kit)["expectation"];
      const std::vector<Trial> all = trials(expectation);
      CHECK(all.size() >= 10);
      int dangers = 0;
      std::deque<Running> running;
      for (std::size_t i = 0; i < all.size() + kAtOnce; ++i) {
        if (running.size() == kAtOnce || (i >= all.size() && !running.empty())) {
          judge(all[i - kAtOnce], running.front().finish(), panel_rail_max(expectation), dangers);
          running.pop_front();
        }
        if (i >= all.size()) continue;
        const std::string link = "sim:" + kit + "?straps=" + all[i].strap + "=" + all[i].position;
        running.emplace_back(strapline({"verify", kit, "--link", link, "--json"}));
      }
      // Each board can feed its panel too much, but for those whose panel takes their highest rail.
      CHECK((dangers > 0) == (kit != "stop-display" && kit != "control-wall"));
    }
  }
}
