#include "host/link/replay_port.hpp"

#include <cstdint>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/trace/writer.hpp"
#include "protocol/rtu/frame.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;

namespace {

/// What happened at a port, in its order: "octets", "woken".
class Order final : public PortListener {
 public:
  void octets_arrived(Octets, Instant) override { said += "octets "; }
  void octet_damaged(Instant) override { said += "damaged "; }
  void woken(Instant) override { said += "woken "; }
  void lost(const LinkError&) override { said += "lost "; }

  std::string said;
};

Bytes frame(const Bytes& pdu) {
  const auto adu = protocol::rtu::seal(1, pdu);
  return {adu.octets().begin(), adu.octets().end()};
}

}  // namespace

TEST_SUITE("host/link/replay_port") {
  TEST_CASE(
      "octets that were read by who was woken late come first again, later ones after the time is over") {
    const tests::support::TemporaryFolder folder;
    const std::string path = folder.path() + "/t.pcapng";
    const Bytes request = frame({0x03, 0x00, 0x00, 0x00, 0x01});
    const Bytes answer = frame({0x03, 0x02, 0x12, 0x34});
    {
      const auto writer = trace::Writer::create(path);
      REQUIRE(writer.has_value());
      (*writer)->begin(trace::Preamble{}, 1'000'000, Instant{});
      for (const std::int64_t late_us : {10'600, 13'000}) {
        const Instant asked{milliseconds(late_us < 11'000 ? 0 : 100)};
        (*writer)->sent(request, asked);
        (*writer)->received(answer, asked + microseconds(late_us));
      }
      (*writer)->sent(request, Instant{milliseconds(200)});
      REQUIRE((*writer)->close().has_value());
    }
    auto replay = Replay::open(path);
    REQUIRE_MESSAGE(replay.has_value(), (replay ? "" : replay.error().message));
    ReplayPort port{*replay, Instant{}};
    Order order;
    port.set_listener(&order);
    const CancelToken never;
    for (const char* const expected : {"octets ", "woken octets "}) {
      order.said.clear();
      REQUIRE(port.send(request).has_value());
      port.wake_at(port.now() + milliseconds(10));
      while (order.said.find("octets") == std::string::npos) {
        REQUIRE(port.run_one(never).has_value());
        port.wake_at(port.now() + milliseconds(10));
      }
      CHECK(order.said == expected);
    }
    // Another word than was said then is refused, and so is one that nobody said.
    const auto other = port.send(answer);
    REQUIRE_FALSE(other.has_value());
    CHECK(other.error().fault == Fault::kTraceEnded);
    CHECK(port.send(request).has_value());
    CHECK(port.send(request).error().fault == Fault::kTraceEnded);
  }
}
