#include "host/link/mbap_client.hpp"

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/tcp_unit.hpp"

using namespace host::link;
using protocol::base::milliseconds;
using protocol::base::Octets;

namespace {

/// A unit that has only the one table: what asks for the other is never answered.
TcpUnit::Serve silent_to(std::uint8_t function) {
  return [function](int connection, const CancelToken& done) {
    KnownDevice device;
    protocol::mbap::Decoder decoder;
    each_read(connection, done, [&](Octets octets) {
      while (!octets.empty()) {
        if (decoder.push(octets) != protocol::mbap::Decoder::Outcome::kFrame) continue;
        const auto frame = decoder.frame();
        if (frame.pdu[0] == function) continue;
        const auto answer = protocol::session::answer(frame.pdu, device);
        send_all(connection, protocol::mbap::seal(frame.transaction, frame.unit, answer.octets()).octets());
      }
      return true;
    });
  };
}

}  // namespace

TEST_SUITE("host/link/mbap_client") {
  // The first read used to be of holding registers whatever was said, and such a unit seemed silent.
  TEST_CASE("a unit that answers reads of one table only is found where its options name that table") {
    for (const Table table : {Table::kInput, Table::kHolding}) {
      CAPTURE(table == Table::kInput);
      constexpr std::uint8_t kReadHolding = 3;
      constexpr std::uint8_t kReadInput = 4;
      const TcpUnit unit{silent_to(table == Table::kInput ? kReadHolding : kReadInput)};
      SessionOptions options;
      options.turnaround_max = milliseconds(50);
      options.probe_table = table;
      const auto link = parse_link("mbtcp://127.0.0.1:" + unit.port());
      REQUIRE(link.has_value());
      const CancelToken never;
      auto session = Session::open(*link, options, Deadline::after(milliseconds(10'000)), never);
      REQUIRE_MESSAGE(session.has_value(), (session ? "" : session.error().message));
      CHECK(session->read(table, 7, 1).has_value());
      CHECK(session->statistics().counts.timeouts == 0);
    }
  }
}
