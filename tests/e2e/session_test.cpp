// The host's own sessions and the simulator as a program, for what no command of strapline asks: the event
// log and broadcasts.
#include "host/link/session.hpp"

#include <algorithm>
#include <array>
#include <csignal>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/points/layout.hpp"
#include "protocol/session/statistics.hpp"
#include "tests/e2e/simulated.hpp"
#include "tests/e2e/strapline.hpp"
#include "tests/sim/port/socket_client.hpp"

using namespace tests::e2e;
using host::link::Session;
using host::link::Table;
using protocol::base::milliseconds;
using protocol::pdu::FileRecord;
using protocol::points::kImageAddress;
using protocol::points::layout;
using protocol::points::Point;
using tests::sim::port::SocketClient;
using tests::support::Outcome;
using tests::support::run;
using tests::support::TemporaryFolder;

namespace {

using Words = std::vector<std::uint16_t>;

// As the simulator tells it, and nobody else's, so that nothing is listened for.
std::string own(const std::string& link) {
  if (link.starts_with("mbtcp:")) return link;
  return (link.starts_with('/') ? "serial:" : "") + link + "?own=yes";
}

/// A session with one unit of `link`.
class Talk {
 public:
  Talk(const std::string& link, std::uint8_t address) : session_{open(link, address, never_)} {
    INFO(link, " ", session_ ? "" : session_.error().message);
    REQUIRE(session_.has_value());
  }
  Session& operator*() { return *session_; }
  Session* operator->() { return &*session_; }

 private:
  static host::link::Result<Session> open(const std::string& link, std::uint8_t address,
                                          const host::link::CancelToken& never) {
    const auto parsed = host::link::parse_link(link);
    REQUIRE(parsed.has_value());
    host::link::SessionOptions options;
    options.unit_address = address;
    options.writes.allow(layout(Point::kSnapshotLatch).address, 1, 0xFFFC);
    return Session::open(*parsed, options, host::link::Deadline::after(milliseconds(60'000)), never);
  }

  host::link::CancelToken never_;
  host::link::Result<Session> session_;
};

// File 1 by sim/unit's README: five registers a record, record n in slot n mod 256.
constexpr std::uint16_t kLogFile = 1;
constexpr std::uint16_t kLogWords = 5;
constexpr std::uint16_t kSlots = 256;

struct Log {
  std::size_t written = 0;     // records ever
  std::vector<Words> records;  // the newest at most kSlots, oldest first
};

// What stands in a state file.
Log kept_in(const std::string& path) {
  Log log;
  std::istringstream lines{tests::support::file_text(path)};
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words{line};
    std::string key;
    words >> key;
    if (key == "log_written") words >> log.written;
    if (key != "log") continue;
    std::uint32_t boot = 0, uptime_s = 0, code = 0, value = 0;
    words >> boot >> uptime_s >> code >> value;
    log.records.push_back({static_cast<std::uint16_t>(boot), static_cast<std::uint16_t>(uptime_s >> 16),
                           static_cast<std::uint16_t>(uptime_s), static_cast<std::uint16_t>(code),
                           static_cast<std::uint16_t>(value)});
  }
  return log;
}

// The whole file, as many slots at once as an answer holds.
Words log_file(Session& session) {
  constexpr std::uint16_t kAtOnce = 24;
  Words all;
  for (std::uint16_t slot = 0; slot < kSlots; slot = static_cast<std::uint16_t>(slot + kAtOnce)) {
    const auto slots = static_cast<std::uint16_t>(std::min<int>(kAtOnce, kSlots - slot));
    const auto words =
        session.read_files(std::array{FileRecord{kLogFile, static_cast<std::uint16_t>(slot * kLogWords),
                                                 static_cast<std::uint16_t>(slots * kLogWords)}});
    REQUIRE(words.has_value());
    all.insert(all.end(), words->begin(), words->end());
  }
  return all;
}

// Each is another one than before, and every third of another kind, so that neighbours in the log differ.
std::string change(int number) {
  if (number % 3 == 0) return std::string{"setting power_on="} + (number % 2 == 0 ? "last" : "always");
  return "setting brightness=" + std::to_string(20 + number % 70) + " %";
}

Words slot_of(const Words& file, std::size_t slot) {
  const auto at = file.begin() + static_cast<std::ptrdiff_t>(slot * kLogWords);
  return {at, at + kLogWords};
}

}  // namespace

TEST_SUITE("e2e/session") {
  TEST_CASE("the event log is read from a running unit as the unit keeps it, before it is full and after") {
    const TemporaryFolder folder;
    int number = 0;
    for (const std::string way : {"--pty", "--tcp", "--mbtcp"}) {
      for (const int changes : {20, 300}) {
        const std::string name = folder.path() + "/" + std::to_string(++number);
        tests::support::Running unit{
            {tests::support::program_path("strapline-sim"),
             {"stop-display", "--catalog", tests::support::source_path("host/catalog"), way,
              way == "--pty" ? name + ".unit" : "127.0.0.1:0", "--control", name + ".control", "--state",
              name + ".state"}}};
        REQUIRE(unit.wait_for("ready: "));
        {
          const SocketClient hand{name + ".control"};
          for (int i = 0; i < changes; ++i) {
            REQUIRE(hand.ask(change(i)).starts_with("ok"));
          }
        }
        const std::string link = tests::sim::port::ready_names(unit.err()).front();
        CAPTURE(link);
        Words file, counts;
        {
          Talk talk{own(link), 1};
          file = log_file(*talk);
          const auto told = talk->read(Table::kInput, layout(Point::kLogRecords).address, 2);
          REQUIRE(told.has_value());
          counts = *told;
          // Two groups of one request, and the same by hand.
          const std::array groups{FileRecord{kLogFile, 5, 5}, FileRecord{kLogFile, 0, 3}};
          const auto both = talk->read_files(groups);
          REQUIRE(both.has_value());
          Words expected = slot_of(file, 1);
          expected.insert(expected.end(), file.begin(), file.begin() + 3);
          CHECK(*both == expected);
          const auto asked = talk->ask(protocol::pdu::read_file_records(groups));
          REQUIRE(asked.has_value());
          CHECK(asked->octets().size() == 2 + (2 + 10) + (2 + 6));
        }
        unit.signal(SIGTERM);
        CHECK(unit.finish().exit_code == 128 + SIGTERM);
        const Log log = kept_in(name + ".state");
        REQUIRE(log.records.size() == std::min<std::size_t>(log.written, kSlots));
        REQUIRE(log.written > static_cast<std::size_t>(changes));
        CHECK(counts == Words{static_cast<std::uint16_t>(log.records.size()),
                              static_cast<std::uint16_t>((log.written - 1) % kSlots)});
        for (std::size_t i = 0; i < log.records.size(); ++i) {
          CAPTURE(i);
          CHECK(slot_of(file, (log.written - log.records.size() + i) % kSlots) == log.records[i]);
        }
        for (std::size_t slot = log.written; slot < kSlots; ++slot) {
          CHECK(slot_of(file, slot) == Words(kLogWords));
        }
      }
    }
  }

  TEST_CASE("a broadcast is done by each unit of a line, and read back of each, on a line that echoes, too") {
    const TemporaryFolder folder;
    std::uint16_t word = 0x1234;
    for (const bool echo : {false, true}) {
      for (const std::string way : {"--pty", "--tcp"}) {
        std::vector<std::string> words{
            way, way == "--pty" ? folder.path() + "/line" : "127.0.0.1:0", "--units", "2", "--address", "3"};
        if (echo) words.insert(words.end(), {"--noise", "echo"});
        Simulated units{"stop-display", words};
        const std::string link = own(units.link());
        CAPTURE(link);
        CAPTURE(echo);
        ++word;
        const auto owner_address =
            static_cast<std::uint16_t>(kImageAddress + layout(Point::kSnapshotOwner).image);
        for (const std::uint8_t address : {std::uint8_t{3}, std::uint8_t{4}}) {
          Talk talk{link, address};
          CHECK_FALSE(talk->read(Table::kInput, owner_address, 1).has_value());  // nobody has latched
        }
        {
          Talk talk{link, 3};
          REQUIRE(talk->broadcast(
                          protocol::pdu::write_single_register(layout(Point::kSnapshotLatch).address, word))
                      .has_value());
        }
        for (const std::uint8_t address : {std::uint8_t{3}, std::uint8_t{4}}) {
          Talk talk{link, address};
          const auto owner = talk->read(Table::kInput, owner_address, 1);
          REQUIRE(owner.has_value());
          CHECK(owner->front() == word);
          CHECK((talk->statistics().counts.echo == protocol::session::Echo::kPresent) == echo);
        }
      }
    }
  }

  TEST_CASE("a unit behind an adapter that hears itself is verified as any other") {
    const TemporaryFolder folder;
    for (const std::string way : {"--pty", "--tcp"}) {
      Simulated unit{"stop-display",
                     {way, way == "--pty" ? folder.path() + "/line" : "127.0.0.1:0", "--noise", "echo"}};
      const Outcome outcome = run(strapline({"verify", "stop-display", "--link", own(unit.link())}));
      INFO(unit.link(), "\n", outcome.out, outcome.err);
      CHECK(holds(outcome.out, "verdict  "));
      CHECK(outcome.exit_code == 0);
    }
  }
}
