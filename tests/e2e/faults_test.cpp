#include <algorithm>
#include <array>
#include <string>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using Json = tests::support::JsonDocument;
using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;

namespace {

// What a point of the unit tells of, and the finding it is.
struct Told {
  std::string kit, fault, finding;
};

}  // namespace

TEST_SUITE("e2e/faults") {
  TEST_CASE("a fault that some point tells of ends in fail, by its name") {
    const std::array<Told, 6> all{{{"stop-display", "colour-space=ycbcr-420", "colour-form"},
                                   {"cab-display", "colour-space=ycbcr-444", "colour-form"},
                                   {"stop-display", "keypad-open", "keypad-missing"},
                                   {"gate-panel", "keypad-open", "keypad-missing"},
                                   {"stop-display", "keypad-stuck=1", "keypad-key-held"},
                                   {"depot-monitor", "keypad-stuck=3", "keypad-key-held"}}};
    for (const Told& told : all) {
      CAPTURE(told.kit);
      CAPTURE(told.fault);
      const std::string link = "sim:" + told.kit + "?fault=" + told.fault;
      const Outcome outcome = run(strapline({"verify", told.kit, "--link", link, "--json"}));
      INFO(outcome.err);
      CHECK(outcome.exit_code == 1);
      const auto findings = Json::parse(outcome.out)["findings"].elements();
      CHECK(std::ranges::any_of(findings, [&](const Json& one) { return one["id"] == told.finding; }));
    }
  }
}
