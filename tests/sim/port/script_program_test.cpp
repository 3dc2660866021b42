#include <csignal>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>

#include "tests/support/json_document.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::support::JsonDocument;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::run;
using tests::support::source_path;
using tests::support::TemporaryFolder;

Outcome simulate(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "stop-display");
  arguments.insert(arguments.end(), {"--catalog", source_path("host/catalog")});
  return run({program_path("strapline-sim"), std::move(arguments)});
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("sim/port/script_program") {
  TEST_CASE("every script that ships runs as it says") {
    std::size_t scripts = 0;
    for (const auto& entry : std::filesystem::directory_iterator{source_path("sim/script/examples")}) {
      CAPTURE(entry.path().string());
      const Outcome outcome = simulate({"--script", entry.path().string(), "--speed", "max"});
      CAPTURE(outcome.err);
      CHECK(outcome.exit_code == 0);
      CHECK(has(outcome.err, ", 0 wrong\n"));
      ++scripts;
    }
    CHECK(scripts >= 3);
  }

  TEST_CASE("a day passes without a port, and what is expected at its end is looked at then") {
    const TemporaryFolder folder;
    std::string text = "title = \"a day\"\nend = \"86400 s\"\n";
    for (int hour = 0; hour < 24; ++hour) {
      const std::string at = std::to_string(hour * 3'600 + 60);
      text += "[[event]]\nat = \"" + at + " s\"\nunplug = true\n";
      text += "[[expect]]\nat = \"" + std::to_string(hour * 3'600 + 120) +
              " s\"\npoint = \"power.state\"\nis = \"no-signal\"\n";
      text += "[[event]]\nat = \"" + std::to_string(hour * 3'600 + 180) + " s\"\nplug = \"dmt 52h\"\n";
      text += "[[expect]]\nat = \"" + std::to_string(hour * 3'600 + 240) +
              " s\"\npoint = \"power.state\"\nis = \"on\"\n";
    }
    text += "[[expect]]\nat = \"86400 s\"\npoint = \"snapshot.uptime_s\"\nmin = 86398\nmax = 86400\n";
    const std::string file = folder.write("day.toml", text);
    const Outcome outcome = simulate({"--script", file, "--speed", "max", "--seed", "3"});
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(has(outcome.err, "49 expected, 0 wrong"));
  }

  TEST_CASE("what isn't as expected ends in 1, with file, line, column, and what was read") {
    const TemporaryFolder folder;
    const std::string file = folder.write("wrong.toml", R"([[expect]]
at = "10 s"
point = "rails.panel_out_mv"
min = 3135
max = 3465
)");
    const Outcome outcome = simulate({"--script", file, "--speed", "max", "--seed", "0"});
    CHECK(outcome.exit_code == 1);
    CAPTURE(outcome.err);
    CHECK(
        has(outcome.err, file + ":3:9: at 10 s: expected rails.panel_out_mv 3135..3465 mV, read 11990 mV\n"));
    CHECK(has(outcome.err, "1 expected, 1 wrong"));
  }

  TEST_CASE("a script that can't be read ends 65 with its place, one that isn't there 66") {
    const TemporaryFolder folder;
    const std::string file = folder.write("bad.toml", "[[event]]\nat = \"1 s\"\nfalt = \"lamp-worn\"\n");
    const Outcome outcome = simulate({"--script", file, "--speed", "max"});
    CHECK(outcome.exit_code == 65);
    CHECK(has(outcome.err, file + ":3:1: unknown key 'falt'"));
    CHECK(simulate({"--script", folder.path() + "/none.toml", "--speed", "max"}).exit_code == 66);
  }

  TEST_CASE("with a port a script runs in real time, and the program ends when it is over") {
    const TemporaryFolder folder;
    const std::string file = folder.write("short.toml", R"(end = "400 ms"
[[event]]
at = "100 ms"
fault = "serial-silent"
[[expect]]
at = "200 ms"
point = "power.state"
is = "waking"
)");
    const std::string truth = folder.path() + "/truth.json";
    const Outcome outcome = simulate({"--script", file, "--pty", folder.path() + "/unit", "--truth", truth});
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(JsonDocument::parse(tests::support::file_text(truth))["faults"][0] == "serial-silent");
    CHECK_FALSE(std::filesystem::exists(folder.path() + "/unit"));
  }

  TEST_CASE("the truth is written whole, and says what no board can sense") {
    const TemporaryFolder folder;
    const std::string script =
        folder.write("s.toml", "[[event]]\nat = \"12 s\"\nfault = \"backlight-cable-out\"\n");
    const std::string truth = folder.path() + "/truth.json";
    const Outcome outcome =
        simulate({"--script", script, "--speed", "max", "--truth", truth, "--straps", "BR3=open"});
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    const auto document = JsonDocument::parse(tests::support::file_text(truth));
    CHECK(document["schema"] == "strapline/truth/1");
    CHECK(document["faults"].size() == 1);
    CHECK(document["faults"][0] == "backlight-cable-out");
    CHECK(document["straps"]["BR3"] == "open");
    CHECK(document["damaged"].empty());
    CHECK_FALSE(std::filesystem::exists(truth + ".new"));
    CHECK(simulate({"--script", script, "--speed", "max", "--truth", folder.path() + "/no/such"}).exit_code ==
          73);
  }
}
