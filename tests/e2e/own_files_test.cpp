// What the programs write: only where they may, nothing of others spoilt, nothing of their own left behind.
#include <csignal>
#include <filesystem>

#include <doctest/doctest.h>
#include <poll.h>
#include <sys/stat.h>

#include "tests/e2e/pty.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
namespace fs = std::filesystem;
using std::chrono::milliseconds;
using tests::support::file_text;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;
using tests::support::Running;
using tests::support::TemporaryFolder;

namespace {

constexpr const char* kUnit = "sim:ticket-machine";

Launch verify(const std::string& link, std::vector<std::string> more = {}) {
  std::vector<std::string> words{"verify", "ticket-machine", "--link", link};
  words.insert(words.end(), more.begin(), more.end());
  return strapline(words);
}

/// The same where no file can be larger than so many blocks of 512 octets.
Launch with_files_of_at_most(std::size_t blocks, Launch launch) {
  launch.arguments.insert(
      launch.arguments.begin(),
      {"-c", "trap '' XFSZ; ulimit -f " + std::to_string(blocks) + "; exec \"$0\" \"$@\"", launch.program});
  launch.program = "sh";
  return launch;
}

std::ptrdiff_t entries_in(const std::string& folder) {
  return std::distance(fs::directory_iterator{folder}, {});
}

std::string fifo_in(const TemporaryFolder& folder) {
  const std::string path = folder.path() + "/fifo";
  REQUIRE(mkfifo(path.c_str(), 0600) == 0);
  return path;
}

}  // namespace

TEST_SUITE("e2e/own_files") {
  // A capture would be said to whatever hangs on that line.
  TEST_CASE("nothing is written into a port, and a pipe without a reader holds nobody up") {
    const Pty port;
    const TemporaryFolder folder;
    const std::string fifo = fifo_in(folder);
    for (const std::string& place : {port.path(), fifo, std::string{"/dev/full"}}) {
      CAPTURE(place);
      for (const Launch& launch :
           {verify(kUnit, {"--trace", place}), strapline({"scan", kUnit, "--trace", place})}) {
        const Outcome outcome = run(launch);
        CHECK(outcome.exit_code == 73);
        CHECK(outcome.out.empty());
        CHECK(outcome.err ==
              "strapline: --trace: can't create " + place + ": not an ordinary file; name another place\n");
      }
    }
    for (const std::string& place : {port.path(), fifo}) {
      CAPTURE(place);
      const Outcome outcome =
          run(strapline({"--log-level", "debug", "--log-file", place, "check", "ticket-machine"}));
      CHECK(outcome.exit_code == 73);
      CHECK(outcome.err ==
            "strapline: --log-file: can't create " + place + ": not an ordinary file; name another place\n");
    }
    CHECK_FALSE(port.heard_within(milliseconds{0}));
  }

  TEST_CASE("what is no ordinary file is no trace, and nobody waits for it") {
    const TemporaryFolder folder;
    const std::string fifo = fifo_in(folder);
    for (const std::string& place : {fifo, folder.path()}) {
      CAPTURE(place);
      for (const Launch& launch :
           {verify("trace:" + place, {"--timeout", "1s"}), strapline({"trace", "show", place}),
            strapline({"trace", "extract", place, "-o", folder.path() + "/t.csv"})}) {
        const Outcome outcome = run(launch);
        INFO(outcome.err);
        CHECK(outcome.exit_code == 65);
        CHECK(holds(outcome.err, "; give a file that --trace has written\n"));
      }
    }
  }

  TEST_CASE("a trace that isn't there ends in 66, however it is asked for") {
    for (const Launch& launch :
         {verify("trace:/nonexistent/t"), strapline({"trace", "show", "/nonexistent/t"})}) {
      const Outcome outcome = run(launch);
      CHECK(outcome.exit_code == 66);
      CHECK(outcome.err ==
            "strapline: can't read /nonexistent/t: No such file or directory; check the path\n");
    }
  }

  TEST_CASE(
      "a capture stays as it is until the port of another is open, and none is left where it never was") {
    const TemporaryFolder folder;
    const std::string old = folder.write("old.pcapng", "what was said yesterday");
    const std::string fresh = folder.path() + "/new.pcapng";
    for (const std::string& place : {old, fresh}) {
      for (const std::string link : {"/dev/ttyNONE7", "trace:/nonexistent/t", "sim:no-such-kit"}) {
        CAPTURE(link);
        CHECK(run(verify(link, {"--trace", place})).exit_code == 66);
        if (!link.starts_with("trace:")) {
          CHECK(run(strapline({"scan", link, "--trace", place})).exit_code == 66);
        }
      }
    }
    CHECK(file_text(old) == "what was said yesterday");
    CHECK(entries_in(folder.path()) == 1);
    CHECK(run(verify(kUnit, {"--trace", old})).exit_code == 0);
    CHECK(file_text(old).starts_with("\x0A\x0D\x0D\x0A"));
    CHECK(run(strapline({"trace", "show", old})).exit_code == 0);
  }

  TEST_CASE("a trace isn't written over while it is replayed, and its unit is the one it is of") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/s.pcapng";
    const std::string link = folder.path() + "/link.pcapng";
    REQUIRE(run(verify(kUnit, {"--trace", trace})).exit_code == 0);
    const std::string said = file_text(trace);
    fs::create_symlink(trace, link);
    for (const std::string& place : {trace, link, folder.path() + "/./s.pcapng"}) {
      CAPTURE(place);
      const Outcome outcome = run(verify("trace:" + trace, {"--trace", place}));
      CHECK(outcome.exit_code == 64);
      CHECK(holds(outcome.err, "is the trace that --link reads; name another file"));
      CHECK(file_text(trace) == said);
    }
    const Outcome other = run(verify("trace:" + trace, {"--address", "7"}));
    CHECK(other.exit_code == 64);
    CHECK(other.err == "strapline: --address: the trace is of unit 1; leave --address out\n");
    CHECK(run(verify("trace:" + trace, {"--address", "1"})).exit_code == 0);
    CHECK(run(verify("trace:" + trace, {"--trace", folder.path() + "/copy.pcapng"})).exit_code == 0);
  }

  // Two signals that come at once: the second finds the first one's work undone.
  TEST_CASE("a second signal leaves no half-made file behind") {
    const Pty pty;
    const TemporaryFolder folder;
    const std::string report = folder.path() + "/r.json";
    Running running{
        verify(pty.link(), {"--timeout", "60s", "--report", report, "--report", report + ".txt"})};
    REQUIRE(pty.heard_within(milliseconds{5000}));
    REQUIRE(entries_in(folder.path()) == 2);
    for (const int number : {SIGSTOP, SIGINT, SIGTERM, SIGCONT}) running.signal(number);
    const Outcome outcome = running.finish();
    CHECK((outcome.exit_code == 128 + SIGINT || outcome.exit_code == 128 + SIGTERM));
    CHECK(entries_in(folder.path()) == 0);
  }

  TEST_CASE("a report that finds no room takes neither the verdict nor the other report with it") {
    const TemporaryFolder folder;
    const std::string json = folder.path() + "/b.json";
    const std::string text = folder.path() + "/c.txt";
    const Launch launch = verify(kUnit, {"--report", json, "--report", text});
    REQUIRE(run(launch).exit_code == 0);
    REQUIRE(fs::file_size(json) > fs::file_size(text) + 1024);
    const std::size_t blocks = fs::file_size(text) / 512 + 1;
    fs::remove(json);
    fs::remove(text);
    const Outcome outcome = run(with_files_of_at_most(blocks, launch));
    CHECK(outcome.exit_code == 74);
    CHECK(holds(outcome.out, "verdict  PASS"));
    CHECK(outcome.err ==
          "strapline: can't write " + json + ": File too large; free space, or name another place\n");
    CHECK_FALSE(fs::exists(json));
    CHECK(holds(file_text(text), "verdict  PASS"));
    CHECK(entries_in(folder.path()) == 1);
  }

  TEST_CASE("a trace that finds no room is said with a step, beside the verdict") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/t.pcapng";
    const Outcome outcome = run(with_files_of_at_most(1, verify(kUnit, {"--trace", trace})));
    CHECK(outcome.exit_code == 74);
    CHECK(holds(outcome.out, "verdict  PASS"));
    CHECK(outcome.err == "strapline: the trace " + trace +
                             " is not whole: File too large; free space, or name another place\n");
  }

  TEST_CASE("a log that finds no room is said once, in plain words, and changes no verdict") {
    const TemporaryFolder folder;
    const std::string full(512, '\n');
    const std::string log = folder.write("log", full);
    const Outcome outcome = run(with_files_of_at_most(
        1,
        strapline({"--log-level", "debug", "--log-file", log, "verify", "ticket-machine", "--link", kUnit})));
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.out, "verdict  PASS"));
    CHECK(file_text(log) == full);
    CHECK(outcome.err == "strapline: --log-file: can't write " + log +
                             ": File too large; free space, or name another place\n");
  }

  TEST_CASE("the log spoils no file that the command reads or writes") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/t.pcapng";
    for (const std::vector<std::string>& more : std::vector<std::vector<std::string>>{
             {"verify", "ticket-machine", "--link", kUnit, "--trace", trace},
             {"verify", "ticket-machine", "--link", "trace:" + trace},
             {"scan", kUnit, "--trace", folder.path() + "/./t.pcapng"},
             {"verify", "ticket-machine", "--snapshot", trace},
             {"edid", "make", "ticket-machine", "-o", trace}}) {
      CAPTURE(more.back());
      std::vector<std::string> words{"--log-level", "debug", "--log-file", trace};
      words.insert(words.end(), more.begin(), more.end());
      const Outcome outcome = run(strapline(words));
      INFO(outcome.err);
      CHECK(outcome.exit_code == 64);
      CHECK(holds(outcome.err, "each needs a file of its own"));
      CHECK(entries_in(folder.path()) == 0);
    }
  }

  TEST_CASE("a scan traces one link at a time") {
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/t.pcapng";
    const Outcome outcome = run(strapline({"scan", kUnit, "sim:stop-display", "--trace", trace}));
    CHECK(outcome.exit_code == 64);
    CHECK(holds(outcome.err, "trace one link at a time"));
    CHECK(entries_in(folder.path()) == 0);
  }

  // What stands behind "use" is to be pasted into a shell.
  TEST_CASE("a link that holds a quote is told as a shell reads it") {
    const Outcome outcome = run(strapline({"scan", "sim:ticket-machine?serial=O'Neill", "--addresses", "1"}));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.out, "--link 'sim:ticket-machine?serial=O'\\''Neill' --address 1\n"));
  }
}
