// strapline reads a board of another house, whose answering end is libmodbus.
#include <csignal>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "tests/support/run_program.hpp"

using tests::support::file_text;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

namespace {

/// The board, until this goes.
class Board {
 public:
  explicit Board(const std::string& way, const std::vector<std::string>& changes = {})
      : board_{launch(way, changes)} {
    REQUIRE(board_.wait_for("\n"));
    const std::string& said = board_.err();
    REQUIRE(said.starts_with("ready: "));
    link_ = said.substr(7, said.find('\n') - 7);
  }

  // Ours alone, so it needs no listening first; nobody else is on a Modbus/TCP connection anyway.
  [[nodiscard]] std::string link() const {
    if (link_.starts_with("mbtcp://")) return link_;
    return (link_.starts_with("/") ? "serial:" + link_ : link_) + "?own=yes";
  }

 private:
  [[nodiscard]] Launch launch(const std::string& way, const std::vector<std::string>& changes) const {
    Launch board;
    board.program = program_path("peers_foreign_board");
    board.arguments = {way};
    if (way == "pty") board.arguments.push_back(folder_.path() + "/board");
    board.arguments.insert(board.arguments.end(), changes.begin(), changes.end());
    return board;
  }

  TemporaryFolder folder_;
  Running board_;
  std::string link_;
};

Outcome verify(const std::string& link, const std::vector<std::string>& more = {},
               const std::string& catalogue = source_path("host/catalog")) {
  Launch strapline;
  strapline.program = program_path("strapline");
  strapline.arguments = {"--catalog", catalogue, "verify", "control-wall", "--link", link};
  strapline.arguments.insert(strapline.arguments.end(), more.begin(), more.end());
  strapline.environment = {{"LC_ALL", "C.UTF-8"}, {"HOME", "/nonexistent"}};
  return tests::support::run(strapline);
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// The shipped files, with another board file.
class Catalogue {
 public:
  explicit Catalogue(const std::string& board) {
    for (const char* const file :
         {"kits/control-wall.toml", "panels/quartz.toml", "supplies/rack-24v-120w.toml",
          "cables/quad-lvds-64-400.toml", "cables/light-14-450.toml"}) {
      folder_.write(file, file_text(source_path(std::string{"host/catalog/"} + file)));
    }
    folder_.write("boards/maple.toml", board);
  }
  [[nodiscard]] const std::string& path() const { return folder_.path(); }

 private:
  TemporaryFolder folder_;
};

// The board's file without the registers that tell whether anything happened between two reads.
std::string without_counters() {
  std::string board = file_text(source_path("host/catalog/boards/maple.toml"));
  for (const char* const point : {"snapshot.uptime_s", "snapshot.changes"}) {
    const std::size_t named = board.find(point);
    REQUIRE(named != std::string::npos);
    const std::size_t begin = board.rfind("[[register]]", named);
    board.erase(begin, board.find("[[register]]", named) - begin);
  }
  return board;
}

}  // namespace

TEST_SUITE("peers/foreign") {
  TEST_CASE("a sound board answered for by libmodbus passes, over each way to it") {
    for (const char* const way : {"pty", "tcp", "mbtcp"}) {
      CAPTURE(way);
      const Board board{way};
      const Outcome outcome = verify(board.link());
      INFO(outcome.out);
      INFO(outcome.err);
      CHECK(outcome.exit_code == 0);
      CHECK(holds(outcome.out, "serial 4310482, model none, firmware 7.4"));
      CHECK(holds(outcome.out, "bracketed"));
    }
  }

  TEST_CASE("one wrong rail fails and is named, over each way to it") {
    for (const char* const way : {"pty", "tcp", "mbtcp"}) {
      CAPTURE(way);
      const Board board{way, {"19=502"}};
      const Outcome outcome = verify(board.link());
      INFO(outcome.out);
      CHECK(outcome.exit_code == 1);
      CHECK(holds(outcome.out, "rails.panel_out_mv"));
      CHECK(holds(outcome.out, "5020 mV"));
    }
  }

  TEST_CASE("a wrong strap fails and is named") {
    const Board board{"pty", {"65=4"}};
    const Outcome outcome = verify(board.link());
    INFO(outcome.out);
    CHECK(outcome.exit_code == 1);
    CHECK(holds(outcome.out, "straps.S1"));
  }

  TEST_CASE("two reads of one board's serial number tell a unit from another") {
    const Board board{"mbtcp"};
    CHECK(verify(board.link(), {"--serial", "4310482"}).exit_code == 0);
    const Outcome other = verify(board.link(), {"--serial", "4310483"});
    CHECK(other.exit_code == 2);
    CHECK(holds(other.out, "4310483"));
  }

  TEST_CASE("a board that tells no moment ends undecided, and passes where its file accepts that") {
    const Board board{"pty"};
    std::string file = without_counters();
    const Outcome loose = verify(board.link(), {}, Catalogue{file}.path());
    INFO(loose.out);
    CHECK(loose.exit_code == 2);
    CHECK(holds(loose.out, "loose"));
    file += "\n[points]\nloose_accepted_because = \"its readings stand still\"\n";
    const Outcome accepted = verify(board.link(), {}, Catalogue{file}.path());
    INFO(accepted.out);
    CHECK(accepted.exit_code == 0);
    CHECK(holds(accepted.out, "its readings stand still"));
  }

  TEST_CASE("a trace of such a board replays to the same answer") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/board.pcapng";
    const Board board{"pty", {"19=502"}};
    const Outcome live = verify(board.link(), {"--trace", trace, "--json"});
    const Outcome again = verify("trace:" + trace, {"--json"});
    INFO(again.err);
    CHECK(live.exit_code == 1);
    CHECK(again.exit_code == 1);
    CHECK(holds(again.out, "\"rails.panel_out_mv\""));
    // Nothing but reads was ever said, and tshark knows every frame.
    const auto frames = [&](const std::string& filter) {
      Launch tshark;
      tshark.program = "tshark";
      tshark.arguments = {"-r", trace, "-d", "rtacser.data,mbrtu", "-o", "mbrtu.crc_verification:TRUE",
                          "-Y", filter};
      tshark.environment = {{"HOME", folder.path()}};
      const Outcome outcome = tests::support::run(tshark);
      INFO(outcome.err);
      REQUIRE(outcome.exit_code == 0);
      return outcome.out;
    };
    CHECK_FALSE(frames("modbus.func_code == 4").empty());
    CHECK_FALSE(frames("modbus.func_code == 2").empty());
    CHECK(frames("!(modbus.func_code in {2, 3, 4}) || _ws.malformed || mbrtu.crc16.status == 0").empty());
  }
}
