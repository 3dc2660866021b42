#include <doctest/doctest.h>

#include "host/cli/command_line.hpp"

using namespace host::cli;
using Words = std::vector<std::string>;

namespace {

CommandLine read(const Words& words) {
  const auto line = parse(words);
  REQUIRE_MESSAGE(line.has_value(), line.error());
  return *line;
}

std::string refused(const Words& words) {
  const auto line = parse(words);
  REQUIRE_FALSE(line.has_value());
  return line.error();
}

}  // namespace

TEST_SUITE("host/cli/parser") {
  TEST_CASE("a whole command line is taken apart") {
    const CommandLine line =
        read({"--color", "never", "verify", "stop-display", "--link=sim:stop-display", "--attest", "BR5=1-2",
              "--attest", "BR7=open", "--by", "Jo", "-o", "a.json", "--json", "--catalog", "here"});
    CHECK(line.command == CommandId::kVerify);
    CHECK(line.arguments[0] == "stop-display");
    CHECK(line.value("--link") == "sim:stop-display");
    CHECK(line.all("--attest") == Words{"BR5=1-2", "BR7=open"});
    CHECK(line.all("--report") == Words{"a.json"});
    CHECK(line.all("--catalog") == Words{"here"});
    CHECK(line.value("--color") == "never");
    CHECK(line.has("--json"));
    CHECK_FALSE(line.has("--share"));
  }

  TEST_CASE("commands may share a first word") {
    const CommandLine show = read({"edid", "show", "--json", "-", "--color", "never"});
    CHECK(show.command == CommandId::kEdidShow);
    CHECK(show.arguments[0] == "-");
    CHECK(show.has("--json"));
    CHECK(show.value("--color") == "never");
    const CommandLine diff = read({"--catalog", "here", "edid", "diff", "a.bin", "show"});
    CHECK(diff.command == CommandId::kEdidDiff);
    CHECK(diff.arguments[0] == "a.bin");
    CHECK(diff.arguments[1] == "show");
    CHECK(read({"timing", "identify", "--h-khz", "67.5"}).command == CommandId::kTimingIdentify);
    CHECK(read({"check", "edid"}).arguments[0] == "edid");
    const CommandLine help = read({"edid", "--help"});
    CHECK_FALSE(help.command.has_value());
    CHECK(help.group == "edid");
    CHECK(refused({"edid"}) == "edid needs one of: edid show, edid make, edid diff");
    CHECK(
        refused({"edid", "shwo", "x"}).starts_with("unknown command 'edid shwo'; did you mean 'edid show'?"));
    CHECK(refused({"edid", "diff", "a.bin"}).starts_with("edid diff needs a B: "));
    CHECK(refused({"edid", "diff", "a", "b", "c"}) == "'c' is one word too many; edid diff takes A B");
    CHECK(refused({"timing", "identify", "x"}) ==
          "'x' is one word too many; timing identify takes options only");
    CHECK(
        refused({"edid", "show", "a", "--fault", "x"}).starts_with("unknown option '--fault' of edid show"));
  }

  TEST_CASE("what isn't given has the table's preset") {
    const CommandLine line = read({"verify", "k", "--link", "l"});
    CHECK(line.value("--timeout") == "10s");
    CHECK(line.value("--address") == "1");
    CHECK(line.value("--color") == "auto");
    CHECK_FALSE(line.value("--serial").has_value());
  }

  TEST_CASE("options stand before or after the argument, and global ones anywhere") {
    for (const Words& words : {Words{"check", "k", "--json", "--color", "never"},
                               Words{"check", "--color", "never", "--json", "k"},
                               Words{"--color", "never", "check", "--json", "k"}}) {
      const CommandLine line = read(words);
      CHECK(line.arguments[0] == "k");
      CHECK(line.has("--json"));
      CHECK(line.value("--color") == "never");
    }
  }

  TEST_CASE("a kit may be called as a command is") {
    const CommandLine line = read({"verify", "check", "--link", "l"});
    CHECK(line.command == CommandId::kVerify);
    CHECK(line.arguments[0] == "check");
  }

  TEST_CASE("help and version need nothing else") {
    CHECK(read({"--help"}).has("--help"));
    CHECK(read({"help"}).has("--help"));
    CHECK(read({"help", "verify"}).has("--help"));
    CHECK(read({"help", "verify"}).command == CommandId::kVerify);
    CHECK(read({"check", "help"}).command == CommandId::kCheck);  // a kit may be called so
    CHECK(read({"-h"}).has("--help"));
    CHECK(read({"--version"}).has("--version"));
    CHECK(read({"verify", "--help"}).command == CommandId::kVerify);
  }

  TEST_CASE("an unknown word names the nearest one") {
    CHECK(refused({"chekc", "k"}) ==
          "unknown command 'chekc'; did you mean 'check'? commands: check, match, sheet, card, verify, edid, "
          "timing, catalog, ports, scan, trace");
    CHECK(
        refused({"zzzzzz"}) ==
        "unknown command 'zzzzzz'; commands: check, match, sheet, card, verify, edid, timing, catalog, ports, scan, trace");
    CHECK(refused({"verify", "k", "--lnk", "x"}) ==
          "unknown option '--lnk' of verify; did you mean '--link'?");
    CHECK(refused({"verify", "k", "--lnk=x"}) == "unknown option '--lnk' of verify; did you mean '--link'?");
    CHECK(refused({"check", "k", "-z"}) ==
          "unknown option '-z' of check; strapline check --help lists what there is");
    CHECK(refused({"--colour", "never", "check", "k"}).starts_with("unknown option '--colour'"));
  }

  TEST_CASE("what is missing or too much is named") {
    CHECK(
        refused({}) ==
        "no command given; there are check, match, sheet, card, verify, edid, timing, catalog, ports, scan, trace; "
        "strapline --help tells more");
    CHECK(refused({"check"}).starts_with("check needs a KIT: "));
    CHECK(refused({"check", ""}).starts_with("check needs a KIT: "));
    CHECK(refused({"sheet", "k"}).starts_with("sheet needs --output FILE: "));
    CHECK(refused({"verify", "k", "--link"}).starts_with("--link needs a value: --link URL"));
    CHECK(refused({"check", "k", "l"}) == "'l' is one word too many; check takes one KIT");
    CHECK(refused({"verify", "k", "--link", "a", "--link", "b"}) == "--link may be given only once");
    CHECK(refused({"check", "k", "--json=no"}) == "--json takes no value");
  }

  TEST_CASE("no word of a command line is passed over in silence") {
    for (const std::string word :
         {"-", "---", "-x", "--x", "--lin", "extra", "--=", "-=", "--help=", "-hx"}) {
      CAPTURE(word);
      const auto line = parse({"verify", "k", "--link", "l", word});
      const bool asks_for_help = line.has_value() && line->has("--help");
      CHECK((!line.has_value() || asks_for_help));
    }
  }
}
