#include <algorithm>
#include <filesystem>

#include <doctest/doctest.h>

#include "tests/e2e/shape.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::file_text;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

// Each kit with a jumper that decides its panel's supply.
const std::vector<std::pair<std::string, std::string>> kKits{{"stop-display", "BR2"},
                                                             {"cab-display", "BR2"},
                                                             {"ticket-machine", "BR1"},
                                                             {"platform-sign", "BR1"},
                                                             {"control-wall", "BR1"}};

}  // namespace

TEST_SUITE("e2e/answer") {
  TEST_CASE("check writes documents of its schema for every kit, alone and with positions given") {
    for (const auto& [kit, jumper] : kKits) {
      CAPTURE(kit);
      const Outcome plain = run(strapline({"check", kit, "--json"}));
      INFO(plain.err);
      CHECK(plain.exit_code == 0);
      CHECK(plain.err.empty());
      check_shape("host/expect/check.schema.json", plain.out);
      const Outcome given = run(strapline({"check", kit, "--json", "--straps", jumper + "=open"}));
      CHECK(given.exit_code == 1);
      CHECK(holds(given.out, "\"given\": \"open\""));
      check_shape("host/expect/check.schema.json", given.out);
    }
  }

  TEST_CASE("verify writes documents of its schema, whatever the verdict") {
    for (const auto& [link, code] :
         std::vector<std::pair<std::string, int>>{{"sim:ticket-machine", 0},
                                                  {"sim:ticket-machine?straps=BR1=2-3", 1},
                                                  {"sim:ticket-machine?source=none", 2}}) {
      CAPTURE(link);
      const Outcome outcome = run(strapline({"verify", "ticket-machine", "--link", link, "--json"}));
      INFO(outcome.err);
      CHECK(outcome.exit_code == code);
      CHECK(outcome.err.empty());
      check_shape("host/verify/verify.schema.json", outcome.out);
    }
  }

  TEST_CASE("the text names danger first and the verdict last") {
    const Outcome outcome =
        run(strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine?straps=BR1=2-3"}));
    CHECK(outcome.exit_code == 1);
    CHECK(holds(outcome.out, "DANGER  straps.BR1"));
    CHECK(holds(outcome.out, "\nverdict  FAIL, DANGER\n"));
    CHECK(outcome.out.find("DANGER  straps.BR1") < outcome.out.find("Items"));
    CHECK(outcome.out.find('\x1b') == std::string::npos);
    const std::string last = outcome.out.substr(outcome.out.find("\nverdict"));
    CHECK(std::count(last.begin(), last.end(), '\n') <= 8);
  }

  TEST_CASE("colour comes on wish, and 7-bit text where the locale isn't UTF-8") {
    auto launch = strapline({"--color", "always", "check", "ticket-machine"});
    CHECK(holds(run(launch).out, "\x1b[32mPASS\x1b[0m"));
    launch = strapline({"check", "ticket-machine"});
    launch.environment["LC_ALL"] = "C";
    const Outcome outcome = run(launch);
    CHECK(outcome.exit_code == 0);
    CHECK(std::all_of(outcome.out.begin(), outcome.out.end(), [](char letter) { return letter > 0; }));
  }

  TEST_CASE("an answer that can't be written whole ends in 74") {
    for (const char* place : {"/dev/full", "-"}) {
      for (const Launch& asked : {strapline({"check", "ticket-machine", "--json"}), strapline({"--help"}),
                                  strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine"})}) {
        Launch launch = asked;
        launch.stdout_to = place;
        const Outcome outcome = run(launch);
        CAPTURE(place);
        CHECK(outcome.exit_code == 74);
        CHECK(holds(outcome.err, "standard output"));
      }
    }
  }

  TEST_CASE("a report is the answer in its file, and 73 says that it can't be created") {
    const TemporaryFolder folder;
    const std::string json = folder.path() + "/r.json";
    const std::string text = folder.path() + "/r.txt";
    const Outcome outcome = run(strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine",
                                           "--json", "-o", json, "--report", text}));
    CHECK(outcome.exit_code == 0);
    CHECK(file_text(json) == outcome.out);
    CHECK(holds(file_text(text), "verdict  PASS\n"));
    CHECK(std::distance(std::filesystem::directory_iterator{folder.path()}, {}) == 2);
    const Outcome refused = run(strapline(
        {"verify", "ticket-machine", "--link", "sim:ticket-machine", "-o", folder.path() + "/none/r.json"}));
    CHECK(refused.exit_code == 73);
    CHECK(refused.out.empty());
  }

  TEST_CASE("the command line's mistakes end in 64 and leave standard output empty") {
    for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
             {},
             {"chekc", "k"},
             {"check"},
             {"verify", "ticket-machine"},
             {"check", "ticket-machine", "--jsn"},
             {"verify", "ticket-machine", "--link", "sim:ticket-machine", "--address", "300"}}) {
      const Outcome outcome = run(strapline(words));
      CHECK(outcome.exit_code == 64);
      CHECK(outcome.out.empty());
      CHECK(outcome.err.starts_with("strapline: "));
      CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
    }
  }

  TEST_CASE("the log goes to its file and leaves the answer alone") {
    const TemporaryFolder folder;
    const std::string log = folder.path() + "/log";
    const Outcome outcome =
        run(strapline({"--log-level", "debug", "--log-file", log, "check", "ticket-machine"}));
    CHECK(outcome.exit_code == 0);
    CHECK(outcome.err.empty());
    CHECK(holds(file_text(log), "catalogue folder"));
    CHECK(run(strapline({"--log-file", "/dev/null/log", "check", "ticket-machine"})).exit_code == 73);
    // A folder that isn't there is a mistake to be told; it used to be made.
    const std::string missing = folder.path() + "/none/deeper";
    CHECK(run(strapline({"--log-file", missing + "/log", "check", "ticket-machine"})).exit_code == 73);
    CHECK_FALSE(std::filesystem::exists(folder.path() + "/none"));
  }
}
