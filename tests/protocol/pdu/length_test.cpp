#include "protocol/pdu/length.hpp"

#include <random>

#include <doctest/doctest.h>

#include "protocol/pdu/function.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::pdu;
using protocol::base::Octets;

namespace {

// A row of the vectors without its address and CRC.
Octets pdu_in(const tests::vectors::ModbusFrame& frame) {
  return Octets{frame.octets}.subspan(1, frame.octets.size() - 3);
}

Length length_of(const tests::vectors::ModbusFrame& frame, Octets pdu) {
  return frame.request ? request_length(pdu) : response_length(pdu);
}

}  // namespace

TEST_SUITE("protocol/pdu/length") {
  TEST_CASE("the length of every example of the standard is known from its first octets") {
    const auto frames = tests::vectors::modbus_frames();
    REQUIRE(frames.size() == 109);
    for (const auto& frame : frames) {
      CAPTURE(frame.id);
      const Octets pdu = pdu_in(frame);
      if (frame.id == "ex-fc63-01" && frame.request) {
        CHECK(length_of(frame, pdu).kind == Length::Kind::kUnknown);
        continue;
      }
      CHECK(length_of(frame, pdu) == Length{Length::Kind::kKnown, pdu.size()});
    }
  }

  TEST_CASE("a beginning of a frame never claims another length than the whole") {
    for (const auto& frame : tests::vectors::modbus_frames()) {
      const Octets pdu = pdu_in(frame);
      if (length_of(frame, pdu).kind == Length::Kind::kUnknown) continue;
      for (std::size_t size = 0; size < pdu.size(); ++size) {
        CAPTURE(frame.id);
        CAPTURE(size);
        const Length length = length_of(frame, pdu.first(size));
        CHECK(length.octets > size);
        CHECK(length.octets <= pdu.size());
        CHECK((length.kind == Length::Kind::kMore || length.octets == pdu.size()));
      }
    }
  }

  TEST_CASE("octets behind a frame do not change its length") {
    for (const auto& frame : tests::vectors::modbus_frames()) {
      CAPTURE(frame.id);
      const Octets pdu = pdu_in(frame);
      std::vector<std::uint8_t> longer{pdu.begin(), pdu.end()};
      longer.insert(longer.end(), {0x00, 0xFF, 0x11});
      CHECK(length_of(frame, longer) == length_of(frame, pdu));
    }
  }

  TEST_CASE("a length that no frame can have is unknown") {
    CHECK(response_length(std::vector<std::uint8_t>{0x03, 251}) == Length{Length::Kind::kKnown, 253});
    CHECK(response_length(std::vector<std::uint8_t>{0x03, 252}).kind == Length::Kind::kUnknown);
    CHECK(request_length(std::vector<std::uint8_t>{0x10, 0, 0, 0, 0, 248}).kind == Length::Kind::kUnknown);
    CHECK(response_length(std::vector<std::uint8_t>{0x18, 0xFF, 0xFF}).kind == Length::Kind::kUnknown);
    CHECK(response_length(std::vector<std::uint8_t>{0x2B, 0x0D}).kind == Length::Kind::kUnknown);
    // Two objects of 244 octets would be an identification of 499.
    std::vector<std::uint8_t> objects{0x2B, 0x0E, 1, 1, 0, 0, 2, 0, 244};
    objects.resize(253);
    CHECK(response_length(objects).kind == Length::Kind::kUnknown);
  }

  TEST_CASE("no octets make a length outside a PDU") {
    std::mt19937 random{20};
    for (int run = 0; run < 200'000; ++run) {
      std::vector<std::uint8_t> octets(random() % 260);
      for (auto& octet : octets) octet = static_cast<std::uint8_t>(random());
      if (octets.size() > 2 && run % 2 == 0) octets[0] = 0x2B, octets[1] = 0x0E;
      for (const Length length : {request_length(octets), response_length(octets)}) {
        if (length.octets <= kPduSizeMax) continue;
        CAPTURE(run);
        FAIL("a length of " << length.octets);
      }
    }
  }
}
