#include "protocol/rtu/frame.hpp"

#include <algorithm>

#include <doctest/doctest.h>

#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::rtu;
using protocol::base::Octets;
using protocol::pdu::Length;

TEST_SUITE("protocol/rtu/frame") {
  TEST_CASE("sealing the PDU of every example gives the example") {
    for (const auto& frame : tests::vectors::modbus_frames()) {
      CAPTURE(frame.id);
      REQUIRE(crc_holds(frame.octets));
      const Adu adu = seal(frame.octets[0], pdu_of(frame.octets));
      CHECK(std::equal(adu.octets().begin(), adu.octets().end(), frame.octets.begin(), frame.octets.end()));
    }
  }

  TEST_CASE("no single flipped bit lets a damaged frame through") {
    for (auto frame : tests::vectors::modbus_frames()) {
      for (std::size_t bit = 0; bit < frame.octets.size() * 8; ++bit) {
        const auto mask = static_cast<std::uint8_t>(1U << (bit % 8));
        frame.octets[bit / 8] ^= mask;
        if (crc_holds(frame.octets)) FAIL_CHECK(frame.id << ", bit " << bit);
        frame.octets[bit / 8] ^= mask;
      }
    }
  }

  // The first 19 octets of max-fc10 happen to carry their own CRC: a CRC does not say where a frame ends.
  TEST_CASE("no beginning of a frame has both the length and the CRC of a frame") {
    for (const auto& frame : tests::vectors::modbus_frames()) {
      for (std::size_t size = 0; size < frame.octets.size(); ++size) {
        CAPTURE(frame.id);
        CAPTURE(size);
        const Octets part = Octets{frame.octets}.first(size);
        const Length length = frame.request ? request_length(part) : response_length(part);
        CHECK_FALSE((crc_holds(part) && length == Length{Length::Kind::kKnown, size}));
      }
    }
  }

  TEST_CASE("lengths count address and CRC") {
    for (const auto& frame : tests::vectors::modbus_frames()) {
      if (frame.id == "ex-fc63-01") continue;
      CAPTURE(frame.id);
      const Length length = frame.request ? request_length(frame.octets) : response_length(frame.octets);
      CHECK(length == Length{Length::Kind::kKnown, frame.octets.size()});
    }
    CHECK(request_length({}).kind == Length::Kind::kMore);
    const auto frame = tests::vectors::modbus_frame("fc03", false);
    CHECK(response_length(Octets{frame}.first(2)) == Length{Length::Kind::kMore, 3});
    CHECK(response_length(Octets{frame}.first(3)) == Length{Length::Kind::kKnown, 11});
  }

  TEST_CASE("the largest PDU makes a frame of 256 octets") {
    const std::array<std::uint8_t, protocol::pdu::kPduSizeMax> pdu{0x15};
    CHECK(seal(1, pdu).size == kAduSizeMax);
    CHECK(crc_holds(seal(1, pdu).octets()));
  }
}
