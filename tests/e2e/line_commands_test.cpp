// ports and scan as their users run them.
#include <algorithm>
#include <csignal>

#include <doctest/doctest.h>

#include "tests/e2e/pty.hpp"
#include "tests/e2e/shape.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using namespace tests::e2e;
using tests::support::JsonDocument;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;
using tests::support::Running;

TEST_SUITE("e2e/ports") {
  TEST_CASE("ports lists what there is, as text and as a document of its schema") {
    const Outcome text = run(strapline({"ports"}));
    CHECK((text.exit_code == 0 || text.exit_code == 1));
    CHECK_FALSE(text.out.empty());
    const Outcome json = run(strapline({"ports", "--json"}));
    CHECK(json.exit_code == text.exit_code);
    check_shape("host/cli/ports.schema.json", json.out);
    CHECK((JsonDocument::parse(json.out)["ports"].empty()) == (json.exit_code == 1));
  }
}

TEST_SUITE("e2e/scan") {
  TEST_CASE("scan finds a unit at its address and says how to talk to it") {
    const Outcome text = run(strapline({"scan", "sim:ticket-machine?address=17", "--addresses", "15-20"}));
    INFO(text.err);
    CHECK(text.exit_code == 0);
    CHECK(holds(text.out, "unit 17 on "));
    CHECK(holds(text.out, "--address 17"));
    const Outcome json =
        run(strapline({"scan", "sim:ticket-machine?address=17", "--addresses", "15-20", "--json"}));
    CHECK(json.exit_code == 0);
    check_shape("host/cli/scan.schema.json", json.out);
    const auto unit = JsonDocument::parse(json.out)["links"][0]["units"][0];
    CHECK(unit["address"] == 17);
    CHECK(unit["profile"].text().starts_with("strapline "));
  }

  TEST_CASE("a line where nobody answers ends in 69 and says what was asked; a talking one in 74") {
    const Pty pty;
    const Outcome none = run(strapline({"scan", pty.link(), "--addresses", "1-2", "--timeout", "1s"}));
    CHECK((none.exit_code == 69));
    CHECK(holds(none.out, "Asked addresses 1 to 2 on " + pty.path() + " at 115200 Bd 8E1"));
    CHECK_FALSE(none.err.empty());
    const Outcome missing = run(strapline({"scan", "/dev/ttyNONE7"}));
    CHECK(missing.exit_code == 66);
    CHECK(run(strapline({"scan", "trace:x"})).exit_code == 64);
    CHECK(run(strapline({"scan"})).exit_code == 64);
    CHECK(run(strapline({"scan", pty.link(), "--addresses", "9-3"})).exit_code == 64);
    CHECK(run(strapline({"scan", pty.link(), "--addresses", "0-3"})).exit_code == 64);
  }

  TEST_CASE("a scan's trace says at which settings it asked") {
    const Pty pty;
    const tests::support::TemporaryFolder folder;
    const std::string trace = folder.path() + "/scan.pcapng";
    const std::string link = "serial:" + pty.path() + "?own=yes&baud=19200&parity=none&stop=2";
    CHECK(run(strapline({"scan", link, "--addresses", "1", "--timeout", "2s", "--trace", trace})).exit_code ==
          69);
    const Outcome shown = run(strapline({"trace", "show", trace}));
    CHECK(holds(shown.out, "19200 Bd 8N2"));
  }

  TEST_CASE("several links are searched at once, so that a silent one holds up none") {
    const Pty silent;
    const Launch launch =
        strapline({"scan", silent.link(), "sim:stop-display?serial=SD-1", "sim:ticket-machine?serial=TM-2",
                   "--addresses", "1-2", "--timeout", "4s", "--json"});
    const Outcome outcome = run(launch);
    INFO(outcome.out);
    CHECK(outcome.exit_code == 0);
    check_shape("host/cli/scan.schema.json", outcome.out);
    const auto links = JsonDocument::parse(outcome.out)["links"];
    REQUIRE(links.size() == 3);
    // The silent one alone takes all the time there is; one after the other, the others would get none.
    CHECK(links[0]["units"].empty());
    CHECK(holds(links[0]["ended"].text(), "the time for the command is over"));
    CHECK(links[1]["units"][0]["serial"] == "SD-1");
    CHECK(links[2]["units"][0]["serial"] == "TM-2");
    CHECK(run(strapline({"scan", silent.link(), silent.link()})).exit_code == 64);
  }

  TEST_CASE("a signal ends a scan at once with what was found") {
    const Pty pty;
    Launch launch = strapline({"scan", pty.link(), "--timeout", "1min"});
    Running running{launch};
    REQUIRE(pty.heard_within(std::chrono::seconds{5}));
    running.signal(SIGINT);
    const Outcome outcome = running.finish();
    CHECK(outcome.exit_code == 130);
    CHECK(outcome.elapsed.count() < 5000);
    CHECK(holds(outcome.out, "Asked "));
  }
}
