#include <array>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

using Json = tests::support::JsonDocument;

const std::vector<std::string> kKits{"stop-display", "cab-display", "ticket-machine", "platform-sign",
                                     "control-wall"};
const std::vector<std::string> kQueries{"",
                                        "?fault=panel-fuse-open",
                                        "?fault=panel-rail-low=4 V",
                                        "?fault=supply-dead",
                                        "?fault=no-signal",
                                        "?fault=edid-corrupt",
                                        "?fault=soft-off",
                                        "?noise=ber=0.001&seed=7",
                                        "?fault=serial-silent"};

// Without the one part that tells where the readings come from.
std::string without_origin(std::string text) {
  const std::size_t at = text.find("  \"taken_with\": {");
  REQUIRE(at != std::string::npos);
  const std::size_t end = text.find("},\n", at);
  REQUIRE(end != std::string::npos);
  return text.erase(at, end + 3 - at);
}

}  // namespace

TEST_SUITE("e2e/snapshot") {
  TEST_CASE("a saved document stands for a link: the same items, findings and verdict, with no unit asked") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/unit.json";
    std::array<int, 3> verdicts{};
    for (const std::string& kit : kKits) {
      for (const std::string& query : kQueries) {
        CAPTURE(kit);
        CAPTURE(query);
        const Outcome live = run(strapline(
            {"verify", kit, "--link", "sim:" + kit + query, "--timeout", "3s", "--report", path, "--json"}));
        INFO(live.err);
        const Outcome saved = run(strapline({"verify", kit, "--snapshot", path, "--json"}));
        INFO(saved.err);
        CHECK(saved.exit_code == (live.exit_code == 69 ? 2 : live.exit_code));
        CHECK(without_origin(saved.out) == live.out);
        REQUIRE(saved.exit_code <= 2);
        ++verdicts.at(static_cast<std::size_t>(saved.exit_code));
      }
    }
    for (const int count : verdicts) CHECK(count > 0);
  }

  TEST_CASE("what has been seen since counts, and so does the serial number that is scanned later") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/sign.json";
    CHECK(run(strapline({"verify", "platform-sign", "--link", "sim:platform-sign", "-o", path})).exit_code ==
          2);
    const Outcome seen =
        run(strapline({"verify", "platform-sign", "--snapshot", path, "--attest", "BR7=2-3", "--by", "Jo"}));
    INFO(seen.out);
    CHECK(seen.exit_code == 0);
    CHECK(holds(seen.out, "Saved readings, judged anew"));
    CHECK(holds(seen.out, "the same"));
    const Outcome other =
        run(strapline({"verify", "platform-sign", "--snapshot", path, "--serial", "SIM-000002", "--json"}));
    CHECK(other.exit_code == 2);
    CHECK(holds(other.out, "wrong-unit"));
  }

  TEST_CASE("readings judged by another kit say with which they were taken") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/unit.json";
    CHECK(run(strapline({"verify", "stop-display", "--link", "sim:stop-display", "-o", path})).exit_code ==
          0);
    const Outcome other = run(strapline({"verify", "cab-display", "--snapshot", path}));
    CHECK(other.exit_code == 1);
    CHECK(holds(other.out, "taken with kit stop-display"));
    CHECK(holds(other.out, "digest"));
  }

  TEST_CASE("a document and a link exclude each other, and one is needed") {
    for (const std::vector<std::string>& words :
         std::vector<std::vector<std::string>>{{},
                                               {"--snapshot", "x.json", "--link", "sim:stop-display"},
                                               {"--snapshot", "x.json", "--timeout", "3s"},
                                               {"--snapshot", "x.json", "--address", "2"},
                                               {"--snapshot", "x.json", "--share"},
                                               {"--snapshot", "x.json", "--trace", "t.pcapng"}}) {
      std::vector<std::string> all{"verify", "stop-display"};
      all.insert(all.end(), words.begin(), words.end());
      const Outcome outcome = run(strapline(all));
      CHECK(outcome.exit_code == 64);
      CHECK(holds(outcome.err, "--snapshot"));
    }
  }

  TEST_CASE("a file that keeps no readings is refused by place, and nothing is written") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/unit.json";
    const std::string report = folder.path() + "/report.txt";
    CHECK(run(strapline({"verify", "stop-display", "--snapshot", path})).exit_code == 66);
    folder.write("unit.json", "{\n  \"schema\": \"strapline/verify/1\",\n  \"danger\": null\n}\n");
    const Outcome refused = run(strapline({"verify", "stop-display", "--snapshot", path, "-o", report}));
    CHECK(refused.exit_code == 65);
    CHECK(holds(refused.err, path + ":3:"));
    CHECK(holds(refused.err, "null has no place"));
    CHECK(refused.out.empty());
    CHECK(tests::support::file_text(report).empty());
    folder.write("unit.json", std::string(1024 * 1024 + 1, ' '));
    CHECK(run(strapline({"verify", "stop-display", "--snapshot", path})).exit_code == 65);
    const Outcome paper = run(strapline({"check", "stop-display", "--json"}));
    folder.write("unit.json", paper.out);
    const Outcome other = run(strapline({"verify", "stop-display", "--snapshot", path}));
    CHECK(other.exit_code == 65);
    CHECK(holds(other.err, "schema is strapline/check/1, not strapline/verify/1"));
  }
}
