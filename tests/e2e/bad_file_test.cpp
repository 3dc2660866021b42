#include <filesystem>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::file_text;
using tests::support::Outcome;
using tests::support::run;
using tests::support::source_path;
using tests::support::TemporaryFolder;

namespace {

/// A copy of the shipped catalogue in which `from`, standing in `file`, has become `to`.
Outcome checked_with(const std::string& file, const std::string& from, const std::string& to) {
  const TemporaryFolder folder;
  const std::string copy = folder.path() + "/catalog";
  std::filesystem::copy(source_path("host/catalog"), copy, std::filesystem::copy_options::recursive);
  std::string text = file_text(copy + "/" + file);
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  (void)folder.write("catalog/" + file, text.replace(at, from.size(), to));
  return run(strapline({"check", "ticket-machine"}, copy));
}

/// "…/panels/basalt.toml:12:3: " stands in the first line.
void check_place(const Outcome& outcome, const std::string& file) {
  INFO(outcome.err);
  CHECK(outcome.exit_code == 65);
  CHECK(outcome.out.empty());
  const std::size_t at = outcome.err.find(file + ":");
  REQUIRE(at != std::string::npos);
  CHECK(at < outcome.err.find('\n'));
  int line = 0;
  int column = 0;
  CHECK(std::sscanf(outcome.err.c_str() + at + file.size(), ":%d:%d:", &line, &column) == 2);
  CHECK(line > 0);
  CHECK(column > 0);
}

}  // namespace

TEST_SUITE("e2e/bad_file") {
  TEST_CASE("an unknown kit ends in 66 and names the nearest one") {
    const Outcome outcome = run(strapline({"check", "ticket-machin"}));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 66);
    CHECK(outcome.out.empty());
    CHECK(holds(outcome.err, "ticket-machin"));
    CHECK(holds(outcome.err, "did you mean 'ticket-machine'"));
  }

  // It used to be passed over in silence, and the kit came from the shipped catalogue.
  TEST_CASE("a catalogue folder that isn't there, or is none, ends in 66 whatever the command") {
    const TemporaryFolder folder;
    const std::string file = folder.write("file.toml", "");
    for (const std::string& given : {folder.path() + "/none", file}) {
      for (const char* command : {"check", "verify"}) {
        auto words = std::vector<std::string>{"--catalog", given, command, "stop-display"};
        if (std::string_view(command) == "verify") words.insert(words.end(), {"--link", "sim:stop-display"});
        const Outcome outcome = run(strapline(words));
        INFO(outcome.err);
        CHECK(outcome.exit_code == 66);
        CHECK(outcome.out.empty());
        CHECK(outcome.err.starts_with("strapline: --catalog: "));
        CHECK(outcome.err.find(given) != std::string::npos);
      }
    }
  }

  TEST_CASE("what is thousands of letters long is told by its ends") {
    const std::string word(3000, 'w');
    for (const std::vector<std::string>& words :
         std::vector<std::vector<std::string>>{{"check", word},
                                               {word},
                                               {"check", "--" + word},
                                               {"edid", "show", word},
                                               {"sheet", "slate", "-o", word}}) {
      const Outcome outcome = run(strapline(words));
      CHECK(outcome.exit_code != 0);
      CHECK(outcome.err.size() < 800);
      CHECK(outcome.err.find("…") != std::string::npos);
    }
  }

  TEST_CASE("a kit file that isn't there ends in 66") {
    const Outcome outcome = run(strapline({"check", "/nonexistent/kit.toml"}));
    CHECK(outcome.exit_code == 66);
    CHECK(holds(outcome.err, "/nonexistent/kit.toml"));
  }

  TEST_CASE("a catalogue file that a kit names and that isn't there is named with its place") {
    check_place(checked_with("kits/ticket-machine.toml", "\"basalt\"", "\"basal\""),
                "kits/ticket-machine.toml");
  }

  TEST_CASE("bad TOML ends in 65 with its place") {
    check_place(checked_with("kits/ticket-machine.toml", "board = \"hazel\"", "board = \"hazel"),
                "kits/ticket-machine.toml");
    check_place(checked_with("panels/basalt.toml", "[glass]", "[glass"), "panels/basalt.toml");
  }

  TEST_CASE("a wrong unit ends in 65 with its place and what would be right") {
    const Outcome outcome = checked_with("panels/basalt.toml", "\"9.6 W\"", "\"9.6 V\"");
    check_place(outcome, "panels/basalt.toml");
    CHECK(holds(outcome.err, "W"));
  }

  TEST_CASE("an unknown key ends in 65 and names the nearest one") {
    const Outcome outcome =
        checked_with("panels/basalt.toml", "absolute_max = \"4 V\"", "absolut_max = \"4 V\"");
    check_place(outcome, "panels/basalt.toml");
    CHECK(holds(outcome.err, "absolute_max"));
  }

  TEST_CASE("contradictory rows end in 65 with the place of the row") {
    check_place(checked_with("boards/hazel.toml", "{ value = \"5 V\", straps = { BR1 = \"2-3\" } }",
                             "{ value = \"5 V\", straps = { BR1 = \"1-2\" } }"),
                "boards/hazel.toml");
  }

  TEST_CASE("all errors of a file are told at once") {
    const TemporaryFolder folder;
    const std::string copy = folder.path() + "/catalog";
    std::filesystem::copy(source_path("host/catalog"), copy, std::filesystem::copy_options::recursive);
    std::string text = file_text(copy + "/panels/basalt.toml");
    text.replace(text.find("\"9.6 W\""), 7, "\"9.6 V\"");
    text.replace(text.find("\"4 V\""), 5, "\"4 W\"");
    (void)folder.write("catalog/panels/basalt.toml", text);
    const Outcome outcome =
        run(strapline({"verify", "ticket-machine", "--link", "sim:ticket-machine"}, copy));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 65);
    CHECK(outcome.err.find("basalt.toml:") != outcome.err.rfind("basalt.toml:"));
  }

  TEST_CASE("a strap or position the board doesn't have ends in 64 and says what would be right") {
    const Outcome strap = run(strapline({"check", "ticket-machine", "--straps", "BR9=1-2"}));
    INFO(strap.err);
    CHECK(strap.exit_code == 64);
    CHECK(holds(strap.err, "has no strap 'BR9'"));
    CHECK(holds(strap.err, "BR1"));
    const Outcome position = run(strapline({"check", "ticket-machine", "--straps", "BR1=7-9"}));
    INFO(position.err);
    CHECK(position.exit_code == 64);
    CHECK(holds(position.err, "BR1"));
    const Outcome attested = run(strapline(
        {"verify", "ticket-machine", "--link", "sim:ticket-machine", "--attest", "BR1=x", "--by", "Jo"}));
    CHECK(attested.exit_code == 64);
  }

  TEST_CASE("a file's text can't reach the terminal as control characters") {
    const Outcome outcome = checked_with("kits/ticket-machine.toml", "revision = ", "revisio\x1b[2Jn = ");
    CHECK(outcome.exit_code == 65);
    CHECK_FALSE(holds(outcome.err, "\x1b"));
  }
}
