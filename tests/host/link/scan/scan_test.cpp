#include "host/link/scan/scan.hpp"

#include <csignal>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/scan/probable_settings.hpp"
#include "tests/host/link/scan/bus.hpp"

using namespace tests::host::link::scan;

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
