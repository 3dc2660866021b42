#include "host/link/trace/explain.hpp"

#include <doctest/doctest.h>

#include "protocol/mbap/frame.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/rtu/frame.hpp"

using namespace host::link::trace;
using Bytes = std::vector<std::uint8_t>;
using Kind = Record::Kind;

namespace {

Record record(Kind kind, std::uint8_t unit, protocol::base::Octets pdu) {
  const auto adu = protocol::rtu::seal(unit, pdu);
  return {kind, 0, 0, {adu.octets().begin(), adu.octets().end()}};
}

Record record(Kind kind, std::uint8_t unit, const Bytes& pdu) {
  return record(kind, unit, protocol::base::Octets{pdu});
}

}  // namespace

TEST_SUITE("host/link/trace/explain") {
  TEST_CASE("a read names its points, and its answer their values") {
    Explainer explainer{Carrier::kRtu};
    const auto& layout = protocol::points::layout(protocol::points::Point::kRailsPanelOutMv);
    const auto request = protocol::pdu::read_input_registers(layout.address, 1);
    CHECK(explainer.explain(record(Kind::kSent, 3, request.octets())).text ==
          "unit 3: read input registers 0x0148 (rails.panel_out_mv)");
    const auto meaning = explainer.explain(record(Kind::kReceived, 3, Bytes{0x04, 0x02, 0x0C, 0xE5}));
    CHECK(meaning.text == "unit 3: 1 register");
    REQUIRE(meaning.points.size() == 1);
    CHECK(to_text(meaning.points[0]) == "3301 mV");
    (void)explainer.explain(record(Kind::kSent, 3, request.octets()));
    const auto unread = explainer.explain(record(Kind::kReceived, 3, Bytes{0x04, 0x02, 0xFF, 0xFE}));
    REQUIRE(unread.points.size() == 1);
    CHECK(to_text(unread.points[0]) == "asleep");
  }

  TEST_CASE("the packed image reads as the points it holds") {
    Explainer explainer{Carrier::kRtu};
    (void)explainer.explain(record(Kind::kSent, 1, protocol::pdu::read_input_registers(0x1000, 8).octets()));
    Bytes answer{0x04, 0x10};
    for (const char c : std::string{"CAB-0042"}) answer.push_back(static_cast<std::uint8_t>(c));
    answer.resize(18);
    const auto meaning = explainer.explain(record(Kind::kReceived, 1, answer));
    REQUIRE(meaning.points.size() == 1);
    CHECK(to_text(meaning.points[0]) == "CAB-0042");
  }

  TEST_CASE("refusals, echoes, others' talk, damage and loss are told apart") {
    Explainer explainer{Carrier::kRtu};
    const auto request = protocol::pdu::read_input_registers(0, 2);
    const auto says = [&](const Record& one) { return explainer.explain(one).text; };
    (void)says(record(Kind::kSent, 1, request.octets()));
    CHECK(says(record(Kind::kReceived, 1, request.octets())) == "our own octets back, an echo");
    CHECK(says(record(Kind::kReceived, 1, Bytes{0x84, 0x02})) ==
          "unit 1 refuses to read input registers: 02, illegal data address");
    CHECK(says(record(Kind::kReceived, 9, Bytes{0x03, 0x02, 0x00, 0x01})) ==
          "unit 9: an answer to read holding registers that nobody asked");
    CHECK(says(record(Kind::kReceived, 9, protocol::pdu::read_holding_registers(0, 1).octets()))
              .substr(0, 19) == "somebody else asks ");
    CHECK(says({Kind::kReceived, 0, 0, {0xFF}}) == "too short for a frame");
    CHECK(says({Kind::kReceived, 0, 0, {1, 2, 3, 4, 5}}) == "no frame: its CRC is wrong");
    CHECK(says({Kind::kDamaged, 0, 0, {}}) == "an octet with a parity or framing error");
    CHECK(says({Kind::kDamaged, 0, 0, {0x41}, 0, true}) == "an octet with a parity error");
    CHECK(says({Kind::kLost, 0, 0, {}}) == "the port went away");
    CHECK(says({Kind::kReceived, 0, 0, {0xFF}, 70'000}) ==
          "70000 octets received before this were left out; too short for a frame");
  }

  TEST_CASE("Modbus/TCP shows its transaction") {
    Explainer explainer{Carrier::kMbap};
    const auto adu = protocol::mbap::seal(0x1501, 255, protocol::pdu::read_holding_registers(4, 1).octets());
    const Record sent{Kind::kSent, 0, 0, {adu.octets().begin(), adu.octets().end()}};
    CHECK(explainer.explain(sent).text == "unit 255: read holding registers 0x0004 [1501]");
    CHECK(explainer.explain({Kind::kReceived, 0, 0, {1, 2, 3}}).text == "part of a frame, or several");
  }

  TEST_CASE("any octets have a meaning, and none is read past") {
    for (const Carrier carrier : {Carrier::kRtu, Carrier::kMbap}) {
      Explainer explainer{carrier};
      std::uint32_t random = 1;
      for (int round = 0; round < 30000; ++round) {
        Bytes pdu(1 + static_cast<std::size_t>(round) % 40);
        for (auto& octet : pdu) {
          random = random * 1664525U + 1013904223U;
          octet = static_cast<std::uint8_t>(random >> 24);
        }
        pdu[0] = static_cast<std::uint8_t>(pdu[0] % 0x31);
        Record one =
            record(round % 3 == 0 ? Kind::kSent : Kind::kReceived, static_cast<std::uint8_t>(round % 3), pdu);
        if (carrier == Carrier::kMbap) {
          const auto adu = protocol::mbap::seal(1, 1, pdu);
          one.octets.assign(adu.octets().begin(), adu.octets().end());
        }
        if (explainer.explain(one).text.empty()) FAIL_CHECK("round " << round);
      }
    }
  }
}
