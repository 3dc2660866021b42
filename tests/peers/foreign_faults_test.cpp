// What is wrong in a simulated unit of a foreign board is told as what a practitioner would read there is
// told of a board that libmodbus answers for.
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/support/json_document.hpp"
#include "tests/support/run_program.hpp"

namespace {

using tests::support::JsonDocument;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;

struct Row {
  std::string fault;
  std::vector<std::string> changes;  // of a sound board's registers, worked with a pencil
};

const std::vector<std::string> kUnseen{};

// From the data sheets' figures in host/catalog and the equations of sim/README.md; rails in 10 mV at 16 to
// 19 and 21, the panel's current in mA at 20.
const std::vector<Row> kRows{
    // A blown fuse behind the switch: chosen, and not there.
    {"panel-fuse-open", {"19=0", "20=0"}},
    // 10 V where 12 V are chosen; the panel wants 11.04: its logic stays off, a tenth of its idle 350 mA.
    {"panel-rail-low=10 V", {"18=1000", "19=1000", "20=35"}},
    {"panel-supply-contact-open", {"19=1200", "20=0"}},
    {"panel-cable-out", {"19=1200", "20=0"}},
    // Destroyed: it draws nothing.
    {"panel-logic-dead", {"19=1200", "20=0"}},
    {"backlight-supply-open", {"21=0"}},
    {"backlight-supply-low=20 V", {"21=1996"}},
    {"backlight-enable-stuck=low", {"40=0"}},
    // 5000 permille tenths.
    {"pwm-stuck=50", {"43=5000"}},
    // 120000 hundredths of a hertz = 0001 D4C0h, low word first.
    {"pwm-frequency=1200", {"41=54464", "42=1"}},
    // 30 % of brightness: duty 6 + 0.3 x 94 = 34.2 %.
    {"dimmed-by-sensor", {"43=3420"}},
    // A cap's sense lines that are stuck show it off; a bank of switches all off.
    {"sense-stuck=BR1", {"64=0"}},
    {"sense-stuck=S1", {"65=0"}},
    // 24 V read as 28.8.
    {"reading-off=rails.supply_in_mv,20", {"16=2876"}},
    // The light stays off below its 22 V; (11.4 V x 0.795 A / 0.89 + 7.5 W) = 17.7 W; 19 V - 14 mV. The
    // panel's
    // converter is out of its range of 20 V: 12 V x 18.986 / 20. The supply has come up below what the board
    // asks.
    {"supply-low=19 V", {"16=1899", "18=1139", "19=1137", "21=1899", "30=1"}},
    // What the board can't sense changes nothing.
    {"panel-cable-marginal", kUnseen},
    {"panel-pair-open=1", kUnseen},
    {"panel-channels-swapped", kUnseen},
    {"panel-line-open", kUnseen},
    {"backlight-string-open", kUnseen},
};

Outcome verify(const std::string& link) {
  Launch strapline;
  strapline.program = program_path("strapline");
  strapline.arguments = {"--catalog", source_path("host/catalog"), "verify", "control-wall", "--link", link,
                         "--json"};
  strapline.environment = {{"LC_ALL", "C.UTF-8"}, {"HOME", "/nonexistent"}};
  return tests::support::run(strapline);
}

Outcome verify_played(const std::vector<std::string>& changes) {
  Launch board;
  board.program = program_path("peers_foreign_board");
  board.arguments = {"mbtcp"};
  board.arguments.insert(board.arguments.end(), changes.begin(), changes.end());
  Running running{board};
  REQUIRE(running.wait_for("\n"));
  const std::string& said = running.err();
  REQUIRE(said.starts_with("ready: "));
  return verify(said.substr(7, said.find('\n') - 7));
}

// What was judged, without the readings themselves.
std::set<std::string> judged(const JsonDocument& answer) {
  std::set<std::string> all{"verdict " + answer["verdict"].text(),
                            answer["danger"] == true ? "danger" : "no danger"};
  for (const JsonDocument& item : answer["items"].elements()) {
    all.insert(item["subject"].text() + " " + item["state"].text());
  }
  for (const JsonDocument& finding : answer["findings"].elements()) {
    all.insert("finding " + finding["id"].text() + " " + finding["subject"].text());
  }
  return all;
}

}  // namespace

TEST_SUITE("peers/foreign_faults") {
  TEST_CASE("a fault in a simulated foreign board has the verdict and findings of its registers by pencil") {
    int failed = 0;
    int passed = 0;
    for (const Row& row : kRows) {
      CAPTURE(row.fault);
      const Outcome played = verify_played(row.changes);
      const Outcome simulated = verify("sim:control-wall?seed=0&fault=" + row.fault);
      INFO(played.err);
      INFO(simulated.err);
      CHECK(simulated.exit_code == played.exit_code);
      const auto expected = judged(JsonDocument::parse(played.out));
      const auto got = judged(JsonDocument::parse(simulated.out));
      for (const std::string& one : expected) {
        CAPTURE(one);
        CHECK(got.contains(one));
      }
      for (const std::string& one : got) {
        CAPTURE(one);
        CHECK(expected.contains(one));
      }
      ++(played.exit_code == 1 ? failed : passed);
    }
    CHECK(failed == 15);
    CHECK(passed == 5);
  }
}
