#include <algorithm>
#include <deque>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/e2e/strapline.hpp"

using nlohmann::json;
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

json checked(const std::string& kit) {
  const Outcome outcome = run(strapline({"check", kit, "--json"}));
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  return json::parse(outcome.out);
}

bool is_in(const json& all, const json& one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

// Every position of every strap that the unit itself tells and that check doesn't accept.
std::vector<Trial> trials(const json& expectation) {
  std::vector<Trial> all;
  for (const json& strap : expectation.at("straps")) {
    if (is_in({"attested", "unread", "not-sensed"}, strap.at("evidence_possible"))) continue;
    for (const json& position : strap.at("positions")) {
      if (is_in(strap.at("accepted"), position)) continue;
      Trial trial{strap.at("id"), position, {"straps." + strap.at("id").get<std::string>()}};
      for (const std::string function : strap.at("functions"))
        trial.subjects.push_back("functions." + function);
      all.push_back(std::move(trial));
    }
  }
  return all;
}

std::int64_t panel_rail_max(const json& expectation) {
  for (const json& point : expectation.at("points")) {
    if (point.at("point") == "rails.panel_selected_mv") return point.at("max");
  }
  FAIL("the expectation has no panel rail");
  return 0;
}

void judge(const Trial& trial, const Outcome& outcome, std::int64_t rail_max, int& dangers) {
  CAPTURE(trial.strap);
  CAPTURE(trial.position);
  CAPTURE(outcome.err);
  CHECK(outcome.exit_code == 1);
  const json answer = json::parse(outcome.out, nullptr, false);
  REQUIRE_FALSE(answer.is_discarded());
  CHECK(answer.at("verdict") == "fail");
  const json& findings = answer.at("findings");
  CHECK(std::any_of(findings.begin(), findings.end(), [&](const json& finding) {
    const auto& subjects = trial.subjects;
    return std::find(subjects.begin(), subjects.end(), finding.at("subject").get<std::string>()) !=
           subjects.end();
  }));
  const json& points = answer.at("snapshot").at("points");
  // A quarter above the limit is beyond any uncertainty of a reading.
  if (points.value("rails.panel_selected_mv", std::int64_t{0}) * 4 > rail_max * 5) {
    CHECK(answer.at("danger") == true);
    ++dangers;
  }
}

}  // namespace

TEST_SUITE("e2e/sweep") {
  TEST_CASE("a simulated unit passes as its kit is, and fails by name in every other strap position") {
    for (const std::string kit : {"stop-display", "cab-display", "ticket-machine"}) {
      CAPTURE(kit);
      const Outcome whole = run(strapline({"verify", kit, "--link", "sim:" + kit, "--json"}));
      CAPTURE(whole.err);
      CHECK(whole.exit_code == 0);
      CHECK(json::parse(whole.out).at("verdict") == "pass");

      const json expectation = checked(kit).at("expectation");
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
      // Each board can feed its panel too much, but for the one whose panel takes its highest rail.
      CHECK((dangers > 0) == (kit != "stop-display"));
    }
  }
}
