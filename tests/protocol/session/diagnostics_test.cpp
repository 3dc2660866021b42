// Function 08 at the answering end.

#include <doctest/doctest.h>

#include "tests/protocol/session/bench.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace tests::session;
using namespace protocol::session;
using protocol::pdu::ExceptionCode;
using tests::vectors::modbus_frame;

TEST_SUITE("protocol/session/diagnostics") {
  // What is expected is counted from the lines above it.
  TEST_CASE("08 counts what went over the bus, and clears it when asked") {
    Bench bench;
    const auto ask = [&](std::uint8_t function) {
      const Bytes answer = bench.exchange(sealed(Talk::kUnit, {0x08, 0, function, 0, 0}));
      REQUIRE(answer.size() == 8);
      CHECK(answer[3] == function);
      return answer[4] << 8 | answer[5];
    };
    (void)bench.exchange(kRead);
    (void)bench.exchange(sealed(0x22, {0x03, 0, 0, 0, 1}));         // another unit's
    (void)bench.exchange(sealed(0, {0x06, 0, 1, 0, 3}));            // to all
    (void)bench.exchange(sealed(Talk::kUnit, {0x03, 1, 0, 0, 1}));  // refused
    bench.device.refuses = ExceptionCode::kServerDeviceBusy;
    (void)bench.exchange(kRead);
    (void)bench.exchange({0x11, 0x03, 0xFF});  // no frame
    bench.now += milliseconds(5);
    bench.server.damaged(bench.now);
    CHECK(ask(0x0B) == 6);  // itself counted
    CHECK(ask(0x0C) == 2);
    CHECK(ask(0x0D) == 2);
    CHECK(ask(0x0E) == 8);  // five and three of these
    CHECK(ask(0x0F) == 1);
    CHECK(ask(0x10) == 0);
    CHECK(ask(0x11) == 1);
    CHECK(ask(0x12) == 1);
    CHECK(ask(0x02) == 0);
    CHECK(ask(0x14) == 0);
    CHECK(ask(0x12) == 0);
    CHECK(ask(0x0C) == 2);
    CHECK(bench.exchange(modbus_frame("fc08-0a", true)) == modbus_frame("fc08-0a", false));
    CHECK(ask(0x0B) == 1);
    CHECK(ask(0x0C) == 0);
  }

  TEST_CASE("08 restarts as the standard's examples show, and listen only lasts until then") {
    Bench bench;
    for (const char* id : {"fc08-01", "fc08-01-clear", "fc08-02"}) {
      CAPTURE(id);
      CHECK(bench.exchange(modbus_frame(id, true)) == modbus_frame(id, false));
    }
    const Bytes write = sealed(Talk::kUnit, {0x06, 0, 1, 0, 3});
    CHECK(bench.exchange(modbus_frame("fc08-04", true)).empty());
    CHECK(bench.exchange(write).empty());
    CHECK(bench.exchange(sealed(0, {0x06, 0, 1, 0, 3})).empty());
    CHECK(bench.exchange(modbus_frame("fc08-00", true)).empty());
    CHECK(bench.device.writes == 0);
    CHECK(bench.exchange(modbus_frame("fc08-01", true)).empty());
    CHECK(bench.exchange(write) == write);
    CHECK(bench.exchange(modbus_frame("fc08-04", true)).empty());
    bench.server.reset();
    CHECK(bench.exchange(write) == write);
    // To all, it would silence a whole bus: 08 is for one unit.
    CHECK(bench.exchange(sealed(0, {0x08, 0, 4, 0, 0})).empty());
    CHECK(bench.exchange(write) == write);
  }
}
