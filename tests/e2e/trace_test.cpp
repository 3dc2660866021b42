#include <filesystem>

#include <doctest/doctest.h>

#include "tests/e2e/cut_line.hpp"
#include "tests/e2e/relay.hpp"
#include "tests/e2e/simulated.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/support/json_document.hpp"

using namespace tests::e2e;
using tests::support::file_text;
using tests::support::JsonDocument;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

// What a verdict rests on: everything but how long the wire took.
std::string judged(const std::string& text) {
  return JsonDocument::parse(text).with("/wire/elapsed_us", "0").dump();
}

Outcome verify(const std::string& kit, const std::string& link, std::vector<std::string> more = {}) {
  std::vector<std::string> words{"verify", kit, "--json", "--link", link};
  words.insert(words.end(), more.begin(), more.end());
  return run(strapline(words));
}

}  // namespace

TEST_SUITE("e2e/trace") {
  TEST_CASE("a trace replays the whole verify offline with the same document, whatever the verdict") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/run.pcapng";
    for (const std::string link : {"sim:ticket-machine", "sim:ticket-machine?straps=BR1=2-3",
                                   "sim:ticket-machine?source=none", "sim:ticket-machine?address=17"}) {
      CAPTURE(link);
      const bool other = link.find("address") != std::string::npos;
      const Outcome live = verify("ticket-machine", link,
                                  other ? std::vector<std::string>{"--trace", file, "--address", "17"}
                                        : std::vector<std::string>{"--trace", file});
      INFO(live.err);
      REQUIRE(live.exit_code <= 2);
      const Outcome replayed = verify("ticket-machine", "trace:" + file);
      INFO(replayed.err);
      CHECK(replayed.exit_code == live.exit_code);
      CHECK(judged(replayed.out) == judged(live.out));
      CHECK(JsonDocument::parse(replayed.out)["wire"]["transactions"].number() > 4);
    }
  }

  TEST_CASE("a trace of a bad line holds the damage and replays to the same end") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/bad.pcapng";
    Relay relay{"ticket-machine", [](const Frame& answer, int number) {
                  Frame frame = answer;
                  if (number % 9 == 4) frame.back() = static_cast<std::uint8_t>(~frame.back());
                  if (number % 9 == 7) return std::vector<Frame>{{0xFF, 0x00}, frame};
                  return std::vector<Frame>{frame};
                }};
    const Outcome live = verify("ticket-machine", relay.link(), {"--trace", file});
    INFO(live.err);
    REQUIRE(live.exit_code <= 2);
    REQUIRE(JsonDocument::parse(live.out)["wire"]["retries"].number() > 0);
    const Outcome replayed = verify("ticket-machine", "trace:" + file);
    INFO(replayed.err);
    CHECK(replayed.exit_code == live.exit_code);
    CHECK(judged(replayed.out) == judged(live.out));
  }

  TEST_CASE("a trace of a connection that was cut and taken up again replays to the same verdict") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/cut.pcapng";
    for (const std::string way : {"--tcp", "--mbtcp"}) {
      Simulated unit{"ticket-machine", {way, "127.0.0.1:0"}};
      // Cut before the unit has said who it is, nobody knows whether the same one came back.
      for (const auto& [octets, exit_code] : {std::pair{40U, 2}, {450U, 0}}) {
        CAPTURE(way);
        CAPTURE(octets);
        const CutLine line{unit.link(), octets};
        const Outcome live = verify("ticket-machine", line.link(), {"--trace", file});
        INFO(live.err);
        REQUIRE(line.connections() == 2);
        REQUIRE(live.exit_code == exit_code);
        const Outcome shown = run(strapline({"trace", "show", file}));
        CHECK(holds(shown.out, "the port went away"));
        const Outcome replayed = verify("ticket-machine", "trace:" + file);
        INFO(replayed.err);
        CHECK(replayed.exit_code == live.exit_code);
        CHECK(judged(replayed.out) == judged(live.out));
      }
    }
  }

  TEST_CASE("trace show says what each frame means, and extract what was read") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/run.pcapng";
    REQUIRE(verify("ticket-machine", "sim:ticket-machine", {"--trace", file}).exit_code == 0);
    const Outcome shown = run(strapline({"trace", "show", file}));
    CHECK(shown.exit_code == 0);
    CHECK(shown.err.empty());
    for (const char* part : {"sent", "received", "unit 1: diagnostics 00, word", "the same word back, after ",
                             "write register 0x00A0 (snapshot.latch) = ", "read input registers 0x1000..0x",
                             "rails.panel_out_mv ", "80=strapline", "01 06 00 A0"}) {
      CAPTURE(part);
      CHECK(holds(shown.out, part));
    }
    const std::string table = folder.path() + "/run.csv";
    CHECK(run(strapline({"trace", "extract", file, "-o", table})).exit_code == 0);
    CHECK(file_text(table).starts_with("seconds,unit,point,value,quantity_unit\n"));
    CHECK(holds(file_text(table), ",1,power.state,"));
    CHECK(
        run(strapline({"trace", "extract", file, "-o", table, "--point", "rails.panel_out_mv"})).exit_code ==
        0);
    CHECK(holds(file_text(table), ",1,rails.panel_out_mv,"));
    CHECK_FALSE(holds(file_text(table), "power.state"));
  }

  TEST_CASE("what is no trace, another kit's, cut or not to be written ends in its exit code") {
    const TemporaryFolder folder;
    const std::string file = folder.path() + "/run.pcapng";
    REQUIRE(verify("ticket-machine", "sim:ticket-machine", {"--trace", file}).exit_code == 0);
    const std::string text = file_text(file);
    const std::string cut = folder.write("cut.pcapng", text.substr(0, text.size() * 2 / 3));
    const std::string none = folder.write("none.pcapng", "no capture at all, just words");
    for (const std::string& path : {cut, none}) {
      CAPTURE(path);
      const Outcome outcome = verify("ticket-machine", "trace:" + path);
      CHECK((outcome.exit_code == 65 || outcome.exit_code == 2));
      CHECK_FALSE(holds(outcome.out, "\"verdict\": \"pass\""));
      CHECK(run(strapline({"trace", "show", path})).exit_code == 65);
    }
    CHECK(run(strapline({"trace", "show", folder.path() + "/missing"})).exit_code == 66);
    CHECK(verify("ticket-machine", "sim:ticket-machine", {"--trace", folder.path() + "/no/t"}).exit_code ==
          73);
    CHECK(run(strapline({"trace", "extract", file, "-o", folder.path() + "/t.txt"})).exit_code == 64);
    CHECK(run(strapline({"trace", "extract", file, "-o", "t.csv", "--point", "rails.panel"})).exit_code ==
          64);
  }
}
