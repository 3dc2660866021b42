#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;

namespace {

using Json = tests::support::JsonDocument;

Json answer_of(const Outcome& outcome) {
  INFO(outcome.err);
  return Json::parse(outcome.out);
}

Outcome verified(const std::string& kit, const std::string& query) {
  return run(strapline({"verify", kit, "--link", "sim:" + kit + query, "--json"}));
}

// That of the subject; fails the test when there is none.
Json about(const Json& list, const std::string& subject) {
  for (const Json& one : list.elements()) {
    if (one["subject"].text() == subject) return one;
  }
  FAIL("nothing about " << subject);
  return {};
}

}  // namespace

TEST_SUITE("e2e/verify") {
  TEST_CASE("a strap that nothing tells is incomplete until somebody has looked, and then counted by eye") {
    const std::vector<std::string> words{"verify", "platform-sign", "--link", "sim:platform-sign"};
    const Outcome before = run(strapline(words));
    INFO(before.err);
    CHECK(before.exit_code == 2);
    CHECK(holds(before.out, "verdict  INCOMPLETE"));
    CHECK(holds(before.out, "BR7"));
    CHECK(holds(before.out, "white cap on the three-pin row below X2"));

    auto attested = words;
    attested.insert(attested.end(), {"--attest", "BR7=2-3", "--by", "Jo"});
    const Outcome after = run(strapline(attested));
    INFO(after.out);
    CHECK(after.exit_code == 0);
    CHECK(holds(after.out, "verdict  PASS"));
    CHECK(holds(after.out, "by eye"));
    CHECK(holds(after.out, "Jo"));  // who answers for it was once asked for and then forgotten

    attested[5] = "BR7=1-2";
    const Outcome wrong = run(strapline(attested));
    CHECK(wrong.exit_code == 1);
    CHECK(holds(wrong.out, "BR7"));
  }

  TEST_CASE("what a kit doesn't list can't be attested into a pass") {
    const std::vector<std::string> wrong_strap{
        "verify",   "ticket-machine", "--link", "sim:ticket-machine?straps=BR1=2-3",
        "--attest", "BR1=1-2",        "--by",   "Jo"};
    CHECK(run(strapline(wrong_strap)).exit_code == 1);
  }

  TEST_CASE("another serial number than the one scanned is no verdict on this unit") {
    const std::vector<std::string> words{"verify",   "ticket-machine", "--link", "sim:ticket-machine",
                                         "--serial", "SN-OTHER"};
    const Outcome outcome = run(strapline(words));
    CHECK(outcome.exit_code == 2);
    CHECK(holds(outcome.out, "SN-OTHER"));
  }

  TEST_CASE("an address at which nobody answers is silent") {
    const std::vector<std::string> words{
        "verify", "ticket-machine", "--link", "sim:ticket-machine", "--address", "9", "--timeout", "3s"};
    CHECK(run(strapline(words)).exit_code == 69);
  }

  TEST_CASE("the EDID that a unit tells its source is held against the kit, whole and for the right panel") {
    const Outcome sound = verified("stop-display", "");
    CHECK(sound.exit_code == 0);
    const Json well = answer_of(sound);
    const Json item = about(well["items"], "edid.hdmi-1");
    CHECK(item["state"] == "match");
    CHECK(item["required"] == true);
    CHECK(item["expected"] == item["actual"]);
    CHECK(well["wire"]["transactions"].number() <= 10);

    const Outcome corrupt = verified("stop-display", "?fault=edid-corrupt");
    CHECK(corrupt.exit_code == 1);
    const Json damaged = answer_of(corrupt);
    CHECK(about(damaged["items"], "edid.hdmi-1")["state"] == "mismatch");
    CHECK(about(damaged["findings"], "edid.hdmi-1")["id"] == "edid-damaged");
    CHECK(about(damaged["findings"], "edid.hdmi-1")["severity"] == "fault");
    CHECK(damaged["wire"]["transactions"].number() <= 10);
    CHECK(holds(damaged["next"].text(), "edid make"));

    const Outcome mixed_up = verified("ticket-machine", "?fault=edid-of=slate");
    CHECK(mixed_up.exit_code == 1);
    const Json other = answer_of(mixed_up);
    CHECK(about(other["items"], "edid.dvi-1")["state"] == "mismatch");
    CHECK(about(other["findings"], "edid.dvi-1")["id"] == "edid-timing-differs");
  }
}
