#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "tests/host/link/scan/bus.hpp"

using namespace tests::host::link::scan;

// Two units of one address, as a search meets them.
TEST_SUITE("host/link/scan") {
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
}
