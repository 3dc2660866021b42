#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/e2e/shape.hpp"
#include "tests/e2e/simulated.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using Json = tests::support::JsonDocument;
using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

std::vector<std::string> verify_words(const std::string& link, const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{"verify", "control-wall", "--link", link, "--json"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

Outcome verified(const std::string& query, const std::vector<std::string>& more = {}) {
  return run(strapline(verify_words("sim:control-wall" + query, more)));
}

}  // namespace

// A simulated unit whose board is of another house.
TEST_SUITE("e2e/foreign") {
  TEST_CASE(
      "a simulated unit of a foreign board passes, its readings bracketed, in a document of the schema") {
    const Outcome outcome = verified("?serial=4310482", {"--serial", "4310482"});
    INFO(outcome.out);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    check_shape("host/verify/verify.schema.json", outcome.out);
    const Json answer = Json::parse(outcome.out);
    CHECK(answer["verdict"] == "pass");
    CHECK(answer["snapshot"]["consistency"] == "bracketed");
    // SIM-000001 where a number stands.
    const Outcome other = verified("", {"--serial", "4310482"});
    CHECK(other.exit_code == 2);
    CHECK(verified("", {"--serial", "1"}).exit_code == 0);
  }

  TEST_CASE("it is the same over every kind of link, and at every address of a line with several") {
    const TemporaryFolder folder;
    for (const auto& port : std::vector<std::vector<std::string>>{
             {"--pty", folder.path() + "/unit"}, {"--tcp", "127.0.0.1:0"}, {"--mbtcp", "127.0.0.1:0"}}) {
      CAPTURE(port.front());
      std::vector<std::string> words = port;
      words.insert(words.end(), {"--units", "3", "--address", "7", "--serial", "W-10"});
      Simulated wall{"control-wall", words};
      std::set<std::string> serials;
      for (const char* const address : {"7", "8", "9"}) {
        CAPTURE(address);
        const Outcome outcome = run(strapline(verify_words(wall.link(), {"--address", address})));
        INFO(outcome.err);
        CHECK(outcome.exit_code == 0);
        serials.insert(Json::parse(outcome.out)["unit"]["serial"].text());
      }
      CHECK(serials == std::set<std::string>{"10", "11", "12"});
    }
  }

  TEST_CASE("a line paced as its board's port is, and a unit that thinks as long as its maker says, pass") {
    for (const char* const query :
         {"?pace", "?turnaround=20 ms", "?pace&turnaround=20 ms", "?turnaround=100 ms"}) {
      CAPTURE(query);
      const Outcome outcome = verified(query);
      INFO(outcome.err);
      CHECK(outcome.exit_code == 0);
    }
  }

  // Without 08 no word goes through the line and comes back, so what an answer belongs to is told by other
  // means.
  TEST_CASE("however late or often answers come, no sound unit fails and no wrongly strapped one passes") {
    int verdicts = 0;
    for (const char* const noise :
         {"delay=30 ms", "delay=140 ms", "delay=160 ms", "delay=300 ms", "delay=700 ms", "double=0.5",
          "double=0.5,delay=60 ms", "drop=0.2,double=0.2,delay=160 ms", "ber=1e-3,double=0.2"}) {
      for (const char* const straps : {"", "&straps=BR1=1-2"}) {
        CAPTURE(noise);
        CAPTURE(straps);
        const Outcome outcome = verified(std::string{"?noise="} + noise + straps, {"--timeout", "20s"});
        INFO(outcome.err);
        const bool right = std::string{straps}.empty();
        CHECK(outcome.exit_code != (right ? 1 : 0));
        if (outcome.exit_code <= 1) ++verdicts;
      }
    }
    CHECK(verdicts >= 4);
  }

  TEST_CASE("what is wrong with its end of the line ends as on any board") {
    CHECK(verified("?fault=serial-silent", {"--timeout", "5s"}).exit_code == 69);
    CHECK(verified("?fault=serial-swapped", {"--timeout", "5s"}).exit_code == 69);
    CHECK(verified("?fault=supply-dead", {"--timeout", "5s"}).exit_code == 69);
  }
}
