// Two units of one address, as scan and verify meet them: one answering behind the other, where octets take
// no time, and both talking at once, where they do.
#include <doctest/doctest.h>

#include "tests/e2e/shape.hpp"
#include "tests/e2e/simulated.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using namespace tests::e2e;
using Json = tests::support::JsonDocument;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

struct Way {
  std::vector<std::string> words;
  std::string sharing;
};

// A pseudo-terminal and RTU over TCP, each without a line's time and with it.
std::vector<Way> ways(const TemporaryFolder& folder) {
  const std::string pty = folder.path() + "/line";
  return {{{"--pty", pty}, "certain"},
          {{"--tcp", "127.0.0.1:0"}, "certain"},
          {{"--pty", pty, "--pace"}, "likely"},
          {{"--tcp", "127.0.0.1:0", "--pace"}, "likely"}};
}

// As the simulator tells it, and nobody else's, so that nothing is listened for.
std::string own(const std::string& link) {
  return (link.starts_with('/') ? "serial:" : "") + link + "?own=yes";
}

}  // namespace

TEST_SUITE("e2e/shared_address") {
  TEST_CASE("scan names the address that two units share, on its only setting, and nothing else") {
    const TemporaryFolder folder;
    for (Way way : ways(folder)) {
      way.words.insert(way.words.end(), {"--fault", "address-clash"});
      Simulated units{"stop-display", way.words};
      const Outcome outcome = run(strapline({"scan", own(units.link()), "--addresses", "1-3", "--json"}));
      INFO(units.link(), " ", way.sharing, "\n", outcome.out, outcome.err);
      CHECK(outcome.exit_code == 1);
      check_shape("host/cli/scan.schema.json", outcome.out);
      const Json found = Json::parse(outcome.out)["links"][0]["units"];
      REQUIRE(found.size() == 1);
      CHECK(found[0]["address"] == 1);
      CHECK(found[0]["shared_address"] == way.sharing);
    }
    const Outcome text =
        run(strapline({"scan", "sim:stop-display?fault=address-clash", "--addresses", "1-2"}));
    CHECK(text.exit_code == 1);
    CHECK(holds(text.out, "TWO UNITS SHARE THIS ADDRESS"));
    CHECK_FALSE(holds(text.out, "serial "));
  }

  TEST_CASE(
      "verify of such an address says so and is incomplete, and the trace of its damage tells the same") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/run.pcapng";
    for (Way way : ways(folder)) {
      way.words.insert(way.words.end(), {"--fault", "address-clash"});
      Simulated units{"stop-display", way.words};
      std::string said;
      std::vector<std::string> links{own(units.link())};
      // Two that answer each other without end are never met in the same microsecond again.
      if (way.sharing == "likely") links.push_back("trace:" + trace);
      for (const std::string& link : links) {
        std::vector<std::string> words{"verify", "stop-display", "--json", "--link", link};
        if (said.empty()) words.insert(words.end(), {"--trace", trace});
        const Outcome outcome = run(strapline(words));
        INFO(link, " ", way.sharing, "\n", outcome.out, outcome.err);
        CHECK(outcome.exit_code == 69);
        check_shape("host/verify/verify.schema.json", outcome.out);
        const Json answer = Json::parse(outcome.out);
        CHECK(answer["verdict"] == "incomplete");
        const bool certain = way.sharing == "certain";
        CHECK(answer["findings"][0]["id"] == (certain ? "address-shared" : "unit-silent"));
        // What comes behind this is advice for the kind of link, which a trace doesn't have.
        const std::string whole = answer["next"].text();
        const std::string next = whole.substr(0, whole.find(';'));
        CHECK(holds(next, certain ? "Take one off the line" : "Two units may share address 1"));
        if (!said.empty()) CHECK(next == said);
        said = next;
      }
    }
  }
}
