#include "host/cli/requests.hpp"

#include <filesystem>

#include <doctest/doctest.h>

#include "tests/support/run_program.hpp"

using namespace host::cli;
using Words = std::vector<std::string>;

namespace {

tl::expected<VerifyRequest, std::string> verify(Words more) {
  Words words{"verify", "k", "--link", "l"};
  words.insert(words.end(), more.begin(), more.end());
  const auto line = parse(words);
  REQUIRE(line.has_value());
  return verify_request(*line);
}

tl::expected<CheckRequest, std::string> check(const Words& straps) {
  Words words{"check", "k"};
  for (const auto& text : straps) words.insert(words.end(), {"--straps", text});
  const auto line = parse(words);
  REQUIRE(line.has_value());
  return check_request(*line);
}

}  // namespace

TEST_SUITE("host/cli/requests") {
  TEST_CASE("straps are read in one option or several") {
    const std::vector<StrapWord> both{{"BR1", "2-3"}, {"S1", "1001xx"}};
    CHECK(check({"BR1=2-3,S1=1001xx"})->straps == both);
    CHECK(check({"BR1=2-3", "S1=1001xx"})->straps == both);
    CHECK(check({"BR1=1-2+3-4"})->straps == std::vector<StrapWord>{{"BR1", "1-2+3-4"}});
    CHECK(check({})->straps.empty());
  }

  TEST_CASE("what is no strap with its position is refused with its own words") {
    for (const std::string text : {"BR1", "BR1=", "=2-3", "BR1=2-3,,S1=1", "BR1=2-3,S1"}) {
      CAPTURE(text);
      REQUIRE_FALSE(check({text}).has_value());
      CHECK(check({text}).error().starts_with("--straps: '"));
    }
    CHECK(check({""}).error() == "--straps is empty; BR1=2-3 or S1=1001xx is meant");
    CHECK(check({"BR1=2-3,BR1=1-2"}).error() == "--straps: BR1 is given twice");
    CHECK(check({"BR1=2-3", "BR1=2-3"}).error() == "--straps: BR1 is given twice");
  }

  TEST_CASE("an address is 1 to 247") {
    CHECK(verify({"--address", "1"})->address == 1);
    CHECK(verify({"--address", "247"})->address == 247);
    for (const std::string text : {"0", "248", "-1", "1x", "", "0x1", "1.5", "99999999999999999999"}) {
      CAPTURE(text);
      CHECK_FALSE(verify({"--address", text}).has_value());
    }
  }

  TEST_CASE("a timeout is a number and a unit, up to an hour") {
    using protocol::base::milliseconds;
    CHECK(verify({})->timeout == milliseconds(10'000));
    CHECK(verify({"--timeout", "500ms"})->timeout == milliseconds(500));
    CHECK(verify({"--timeout", "2min"})->timeout == milliseconds(120'000));
    CHECK(verify({"--timeout", "60min"})->timeout == milliseconds(3'600'000));
    for (const std::string text :
         {"", "10", "s", "0s", "61min", "3600001ms", "-1s", "1.5s", "10 s", "10S", "99999999999999999999s"}) {
      CAPTURE(text);
      CHECK_FALSE(verify({"--timeout", text}).has_value());
    }
  }

  TEST_CASE("who attests must say who has looked") {
    CHECK(verify({"--attest", "BR5=1-2"}).error() == "--attest needs --by NAME: the name of who has looked");
    const auto request = verify({"--attest", "BR5=1-2", "--by", "Jo"});
    REQUIRE(request.has_value());
    CHECK(request->attestations == std::vector<StrapWord>{{"BR5", "1-2"}});
    CHECK(request->by == "Jo");
  }

  TEST_CASE("a report's ending says how it is written") {
    const auto request = verify({"-o", "a.json", "-o", "b.txt"});
    REQUIRE(request.has_value());
    REQUIRE(request->reports.size() == 2);
    CHECK(request->reports[0].format == ReportFormat::kJson);
    CHECK(request->reports[1].format == ReportFormat::kText);
    CHECK_FALSE(verify({"-o", "a.pdf"}).has_value());
    CHECK_FALSE(verify({"-o", ""}).has_value());
  }

  // The second one used to fail as a file that can't be created, after the first had been.
  TEST_CASE("a file that would be written twice is refused, however it is spelled") {
    const auto twice = verify({"-o", "a.json", "-o", "b.txt", "-o", "./x/../a.json"});
    REQUIRE_FALSE(twice.has_value());
    CHECK(twice.error() == "--report: './x/../a.json' is named twice; each result needs a file of its own");
    CHECK(verify({"-o", "a.json", "--trace", "a.json"})
              .error()
              .starts_with("--trace: 'a.json' is named by --report"));
    CHECK(verify({"-o", "a.json", "-o", "x/a.json", "--trace", "a.pcapng"}).has_value());
  }

  TEST_CASE("a file is the same whichever link leads to it") {
    const tests::support::TemporaryFolder folder;
    const std::string real = folder.write("real/a.json", "");
    std::filesystem::create_symlink(folder.path() + "/real", folder.path() + "/link");
    CHECK_FALSE(verify({"-o", real, "-o", folder.path() + "/link/a.json"}).has_value());
    CHECK_FALSE(verify({"-o", real, "--trace", folder.path() + "/link/a.json"}).has_value());
    CHECK(verify({"-o", real, "-o", folder.path() + "/link/b.json"}).has_value());
  }

  TEST_CASE("colour and log level are words of a closed list") {
    const auto global = [](Words words) {
      words.insert(words.end(), {"check", "k"});
      return global_request(*parse(words));
    };
    CHECK(global({})->colour == ColourWish::kAuto);
    CHECK(global({"--color", "always"})->colour == ColourWish::kAlways);
    CHECK(global({"--log-level", "debug"})->log.level == LogLevel::kDebug);
    CHECK(global({"--color", "yes"}).error() == "--color: 'yes' is not auto, always or never");
    CHECK_FALSE(global({"--log-level", "loud"}).has_value());
  }
}
