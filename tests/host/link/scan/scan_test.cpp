#include "host/link/scan/scan.hpp"

#include <algorithm>
#include <csignal>
#include <map>
#include <memory>
#include <set>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/memory_port.hpp"
#include "host/link/scan/probable_settings.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/reading.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/session/answer.hpp"

using namespace host::link;
using namespace host::link::scan;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
namespace points = protocol::points;
using Bytes = std::vector<std::uint8_t>;

namespace {

const LineSettings kLine{19200, Parity::kEven, 1};

/// A board that says who it is, and nothing else.
class Board final : public protocol::session::Device {
 public:
  using Exception = protocol::pdu::ExceptionCode;
  explicit Board(std::string serial) : serial_{std::move(serial)} {}

  Exception read_registers(protocol::session::Table, std::uint16_t address,
                           protocol::base::WordSink words) override {
    std::vector<std::uint16_t> text(register_count(points::layout(points::Point::kIdentitySerial).type));
    (void)points::encode_text(points::Point::kIdentitySerial, serial_, text);
    const std::uint16_t first = points::layout(points::Point::kIdentitySerial).address;
    if (address < first || address + words.size() > first + text.size())
      return Exception::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, text[address - first + i]);
    return Exception::kNone;
  }
  Exception write_registers(std::uint16_t, protocol::base::Words) override {
    ++writes;
    return Exception::kNone;
  }
  protocol::session::Object identification(std::uint8_t id) override {
    if (id == 0) return {true, "Hedgerow Works"};
    if (id == 1) return {true, "alder"};
    if (id == 0x80) return {true, "strapline"};
    return {};
  }

  int writes = 0;

 private:
  std::string serial_;
};

/// A port that is handed on, and stays open when it is closed.
class LentPort : public Port {
 public:
  explicit LentPort(Port& port) : port_{port} {}
  [[nodiscard]] const std::string& name() const override { return port_.name(); }
  [[nodiscard]] Instant now() const override { return port_.now(); }
  void set_listener(PortListener* listener) override { port_.set_listener(listener); }
  [[nodiscard]] Result<void> send(Octets octets) override { return port_.send(octets); }
  void wake_at(Instant at) override { port_.wake_at(at); }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override { return port_.run_one(cancel); }
  void close() override {}

 private:
  Port& port_;
};

/// One whose driver counts.
class CountingPort final : public LentPort {
 public:
  explicit CountingPort(std::unique_ptr<Port> port) : LentPort{*port}, owned_{std::move(port)} {}
  [[nodiscard]] Result<void> send(Octets octets) override {
    ++counters_.framing;
    return LentPort::send(octets);
  }
  [[nodiscard]] std::optional<LineCounters> line_counters() const override { return counters_; }

 private:
  std::unique_ptr<Port> owned_;
  LineCounters counters_;
};

/// Units on one bus in memory. Those of one address answer at once, or `lag` octets one behind the other:
/// where they talk over each other every octet is the AND of all, as drivers that pull a line low have it.
struct Bus {
  Bus() : owned{std::make_unique<MemoryPort>(kLine)}, port{*owned} {
    port.set_hearer([this](Octets octets, bool damaged, Instant now) {
      if (damaged) return;
      functions.insert(octets[1]);
      asked.insert(octets[0]);
      Bytes together;
      std::size_t begin = 0;
      for (auto& [address, board] : boards) {
        if (address != octets[0] || !protocol::rtu::crc_holds(octets)) continue;
        const auto pdu = protocol::session::answer(protocol::rtu::pdu_of(octets), *board);
        const auto adu = protocol::rtu::seal(address, pdu.octets());
        begin = std::min(begin, together.size());
        together.resize(std::max(together.size(), begin + adu.octets().size()), 0xFF);
        for (std::size_t i = 0; i < adu.octets().size(); ++i) together[begin + i] &= adu.octets()[i];
        begin += lag;
      }
      if (!together.empty()) port.deliver(together, now + milliseconds(4));
    });
  }

  void add(std::uint8_t address, const std::string& serial) {
    boards.emplace_back(address, std::make_unique<Board>(serial));
  }

  ScanResult scan(std::uint8_t first, std::uint8_t last, bool own = true, bool share = false,
                  Instant deadline = Instant{milliseconds(600'000)}) {
    Transport way;
    way.line = kLine;
    way.own = own;
    way.port = std::move(owned);
    if (counts) way.port = std::make_unique<CountingPort>(std::move(way.port));
    ScanOptions options;
    options.first_address = first;
    options.last_address = last;
    options.share = share;
    return scan_open(std::move(way), options, Deadline{deadline}, stop);
  }

  // The same line at each of `settings`, as a port that is opened anew for each.
  ScanResult scan_at(const std::vector<LineSettings>& settings) {
    const auto opener = [this](const LineSettings& line) -> Result<Transport> {
      port.set_near(line);
      Transport way;
      way.line = line;
      way.own = way.is_serial = true;
      way.port = std::make_unique<LentPort>(port);
      return way;
    };
    return scan_with(settings, opener, ScanOptions{}, Deadline{Instant{milliseconds(3'600'000)}}, stop);
  }

  std::size_t lag = 0;
  bool counts = false;
  CancelToken stop;
  std::unique_ptr<MemoryPort> owned;
  MemoryPort& port;
  std::vector<std::pair<std::uint8_t, std::unique_ptr<Board>>> boards;
  std::set<std::uint8_t> functions, asked;
};

}  // namespace

TEST_SUITE("host/link/scan") {
  TEST_CASE("what the port's driver counted of wrong characters stands with the setting it was counted at") {
    Bus bus;
    bus.counts = true;
    const ScanResult result = bus.scan(1, 4);
    REQUIRE(result.tried.size() == 1);
    REQUIRE(result.tried[0].counted.has_value());
    CHECK(result.tried[0].counted->framing == result.tried[0].questions);
    CHECK(to_text(*result.tried[0].counted) ==
          std::to_string(result.tried[0].questions) + " without a stop bit");
    Bus plain;
    CHECK_FALSE(plain.scan(1, 4).tried[0].counted.has_value());
    CHECK(to_text(LineCounters{}).empty());
    CHECK(to_text(LineCounters{3, 12, 0, 1}) ==
          "12 without a stop bit, 3 with a wrong parity, 1 that were breaks");
  }

  TEST_CASE("every unit on a line is found and named, with read functions only") {
    Bus bus;
    bus.add(1, "A-1");
    bus.add(17, "B-17");
    bus.add(200, "C-200");
    const ScanResult result = bus.scan(1, 247);
    CHECK_FALSE(result.ended.has_value());
    REQUIRE(result.units.size() == 3);
    const char* const serials[]{"A-1", "B-17", "C-200"};
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(result.units[i].address == bus.boards[i].first);
      CHECK(result.units[i].identity.serial == serials[i]);
      CHECK(result.units[i].identity.model == "alder");
      CHECK(result.units[i].identity.sharing == Sharing::kNo);
      CHECK(bus.boards[i].second->writes == 0);
    }
    CHECK(bus.functions == std::set<std::uint8_t>{0x04, 0x2B});
    CHECK(bus.asked.size() == 247);
    REQUIRE(result.tried.size() == 1);
    CHECK(result.tried[0].lowest == 1);
    CHECK(result.tried[0].highest == 247);
  }

  TEST_CASE("two units on one address are recognised, whatever else is on the line") {
    Bus bus;
    bus.add(1, "A-1");
    bus.add(5, "ALDER-000017");
    bus.add(5, "ALDER-000042");
    const ScanResult result = bus.scan(1, 8);
    REQUIRE(result.units.size() == 2);
    CHECK(result.units[0].identity.sharing == Sharing::kNo);
    CHECK(result.units[1].address == 5);
    CHECK(result.units[1].identity.sharing == Sharing::kLikely);
    CHECK(result.units[1].identity.serial.empty());
  }

  TEST_CASE("a line without a unit is asked to its end and says what was tried") {
    Bus bus;
    const ScanResult result = bus.scan(3, 20);
    CHECK(result.units.empty());
    CHECK_FALSE(result.ended.has_value());
    REQUIRE(result.tried.size() == 1);
    CHECK(result.tried[0].questions >= 18);
    CHECK(result.tried[0].lowest == 3);
    CHECK(result.tried[0].highest == 20);
    CHECK_FALSE(result.tried[0].noise);
  }

  TEST_CASE("a slow unit is found at the second, more patient asking") {
    Bus bus;
    Board board{"SLOW-1"};
    bus.port.set_hearer([&](Octets octets, bool, Instant now) {
      if (octets[0] != 2) return;
      const auto pdu = protocol::session::answer(protocol::rtu::pdu_of(octets), board);
      const auto adu = protocol::rtu::seal(2, pdu.octets());
      bus.port.deliver(adu.octets(), now + milliseconds(180));
    });
    const ScanResult result = bus.scan(1, 4);
    REQUIRE(result.units.size() == 1);
    CHECK(result.units[0].identity.serial == "SLOW-1");
    CHECK(result.units[0].identity.sharing == Sharing::kNo);
  }

  TEST_CASE("a second unit of one address that answers behind the first is heard, however alike they are") {
    for (const char* const second : {"ALDER-000017", "ALDER-000042"}) {
      Bus bus;
      bus.lag = 40;
      bus.add(1, "A-1");
      bus.add(2, "ALDER-000017");
      bus.add(2, second);
      const ScanResult result = bus.scan(1, 4);
      REQUIRE(result.units.size() == 2);
      CHECK(result.units[0].identity.sharing == Sharing::kNo);
      CHECK(result.units[1].address == 2);
      const bool alike = std::string{second} == "ALDER-000017";
      CHECK(result.units[1].identity.sharing == (alike ? Sharing::kTwice : Sharing::kCertain));
      CHECK(result.units[1].identity.serial.empty());
      CHECK(result.units[1].identity.model == "alder");
    }
  }

  TEST_CASE(
      "an address of which nothing but damage comes is named as likely shared, once, and none beside it") {
    for (const auto& [first, last] : {std::pair{1, 4}, std::pair{3, 3}, std::pair{1, 247}}) {
      Bus bus;
      bus.lag = 3;
      bus.add(3, "ALDER-000017");
      bus.add(3, "ALDER-000042");
      const ScanResult result = bus.scan(static_cast<std::uint8_t>(first), static_cast<std::uint8_t>(last));
      REQUIRE(result.units.size() == 1);
      CHECK(result.units[0].address == 3);
      CHECK(result.units[0].identity.sharing == Sharing::kLikely);
      CHECK(result.units[0].identity.serial.empty());
    }
  }

  TEST_CASE("damage whatever is asked, or though nothing is asked, is the line's and no unit's") {
    Bus everywhere;
    everywhere.port.set_hearer([&](Octets octets, bool, Instant now) {
      everywhere.port.deliver(Bytes{octets[0], 0x04, 0x02, 0x55}, now + milliseconds(4));
    });
    CHECK(everywhere.scan(1, 20).units.empty());
    Bus always;
    for (int at = 0; at < 20'000; at += 20) always.port.deliver(Bytes{0x00, 0x55}, Instant{milliseconds(at)});
    CHECK(always.scan(1, 4).units.empty());
    // Into a line that is never quiet nothing is said at all.
    Bus never_quiet;
    for (int at = 0; at < 20'000; ++at) never_quiet.port.deliver(Bytes{0x55}, Instant{milliseconds(at)});
    const ScanResult unasked = never_quiet.scan(1, 4);
    CHECK(unasked.units.empty());
    REQUIRE(unasked.tried.size() == 1);
    CHECK(unasked.tried[0].noise);
    CHECK(never_quiet.asked.empty());
  }

  TEST_CASE("an octet that a driver leaves behind each answer makes no second unit") {
    Bus bus;
    Board board{"A-1"};
    bus.port.set_hearer([&](Octets octets, bool, Instant now) {
      if (octets[0] != 2) return;
      const auto pdu = protocol::session::answer(protocol::rtu::pdu_of(octets), board);
      const auto adu = protocol::rtu::seal(2, pdu.octets());
      Bytes all(adu.octets().begin(), adu.octets().end());
      all.push_back(0x00);
      bus.port.deliver(all, now + milliseconds(4));
    });
    const ScanResult result = bus.scan(1, 4);
    REQUIRE(result.units.size() == 1);
    CHECK(result.units[0].identity.serial == "A-1");
    CHECK(result.units[0].identity.sharing == Sharing::kNo);
  }

  TEST_CASE("on a line with traffic nothing is said, unless it is to be shared") {
    // 07 asks for two registers; SL V1.02 gives its CRC.
    const Bytes foreign{0x07, 0x03, 0x00, 0x00, 0x00, 0x02, 0xC4, 0x6D};
    Bus bus;
    bus.add(1, "A-1");
    bus.port.deliver(foreign, Instant{milliseconds(400)});
    const ScanResult quiet = bus.scan(1, 4, /*own=*/false);
    CHECK(quiet.units.empty());
    REQUIRE(quiet.ended.has_value());
    CHECK(quiet.ended->fault == Fault::kForeignTraffic);
    CHECK(quiet.ended->message.find("a request to unit 7, function 03") != std::string::npos);
    CHECK(bus.asked.empty());
    Bus shared;
    shared.add(1, "A-1");
    shared.port.deliver(foreign, Instant{milliseconds(400)});
    CHECK(shared.scan(1, 4, /*own=*/false, /*share=*/true).units.size() == 1);
  }

  TEST_CASE("a unit is found at any probable speed, parity and address, within what a person waits for") {
    struct Place {
      LineSettings line;
      std::uint8_t address;
      int seconds_max;
    };
    for (const Place& place :
         {Place{{115200, Parity::kEven, 1}, 1, 12}, Place{{115200, Parity::kEven, 1}, 247, 40},
          Place{{19200, Parity::kEven, 1}, 60, 60}, Place{{9600, Parity::kEven, 1}, 247, 90},
          Place{{9600, Parity::kNone, 2}, 1, 20}, Place{{1200, Parity::kOdd, 1}, 3, 60},
          Place{{57600, Parity::kOdd, 1}, 200, 400}}) {
      CAPTURE(to_text(place.line));
      CAPTURE(static_cast<int>(place.address));
      Bus bus;
      bus.add(place.address, "FAR-1");
      bus.port.set_far(place.line);
      const Instant from = bus.port.now();
      const ScanResult result =
          bus.scan_at(probable_settings({"/dev/x", {}, {}, {}, false, Rs485::kLeaveAlone}));
      REQUIRE(result.units.size() == 1);
      CHECK(result.units[0].address == place.address);
      CHECK(result.units[0].identity.serial == "FAR-1");
      CHECK(result.units[0].place.find(to_text(place.line)) != std::string::npos);
      CHECK(bus.port.now() - from <= milliseconds(place.seconds_max * 1'000));
    }
  }

  TEST_CASE("a signal or the deadline ends it, with what was found so far") {
    Bus bus;
    bus.add(1, "A-1");
    bus.port.schedule(Instant{milliseconds(2'000)}, [&](Instant) { bus.stop.cancel(SIGINT); });
    const ScanResult stopped = bus.scan(1, 247);
    CHECK(stopped.units.size() == 1);
    REQUIRE(stopped.ended.has_value());
    CHECK(stopped.ended->exit_code == 130);
    Bus late;
    late.add(1, "A-1");
    const ScanResult ended = late.scan(1, 247, true, false, Instant{milliseconds(3'000)});
    CHECK(ended.units.size() == 1);
    REQUIRE(ended.ended.has_value());
    CHECK(ended.ended->fault == Fault::kOutOfTime);
    CHECK(ended.tried[0].highest < 247);
  }

  TEST_CASE("probable settings come first, and what a link states is not tried otherwise") {
    const auto all = probable_settings({"/dev/x", {}, {}, {}, false, Rs485::kLeaveAlone});
    CHECK(all.size() == 24);
    CHECK(all[0] == LineSettings{115200, Parity::kEven, 1});
    CHECK(all[1] == LineSettings{19200, Parity::kEven, 1});
    const auto stated = probable_settings({"/dev/x", 9600, {}, {}, false, Rs485::kLeaveAlone});
    CHECK(stated.size() == 3);
    for (const auto& one : stated) CHECK(one.baud == 9600);
    CHECK(probable_settings({"/dev/x", 9600, Parity::kOdd, {}, false, Rs485::kLeaveAlone}) ==
          std::vector<LineSettings>{{9600, Parity::kOdd, 1}});
  }
}
