#include "protocol/mbap/decoder.hpp"

#include <algorithm>
#include <random>
#include <vector>

#include <doctest/doctest.h>

#include "protocol/mbap/frame.hpp"
#include "tests/vectors/modbus_frames.hpp"

using namespace protocol::mbap;
using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;
using Outcome = Decoder::Outcome;

namespace {

// Source  MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.2: read register 5.
const Bytes kExample{0x15, 0x01, 0x00, 0x00, 0x00, 0x06, 0xFF, 0x03, 0x00, 0x04, 0x00, 0x01};

struct Heard {
  std::uint16_t transaction = 0;
  std::uint8_t unit = 0;
  Bytes pdu;
  bool operator==(const Heard&) const = default;
};

struct Stream {
  std::vector<Heard> frames;
  std::size_t foreign = 0;
  bool lost = false;
  bool operator==(const Stream&) const = default;
};

Stream hear(const Bytes& octets, std::size_t piece) {
  Decoder decoder;
  Stream stream;
  for (std::size_t at = 0; at < octets.size(); at += piece) {
    Octets rest = Octets{octets}.subspan(at, std::min(piece, octets.size() - at));
    while (!rest.empty()) {
      const Outcome outcome = decoder.push(rest);
      stream.lost = stream.lost || outcome == Outcome::kLost;
      stream.foreign += outcome == Outcome::kForeign ? 1 : 0;
      if (outcome == Outcome::kFrame) {
        const Frame frame = decoder.frame();
        stream.frames.push_back({frame.transaction, frame.unit, {frame.pdu.begin(), frame.pdu.end()}});
      }
    }
  }
  return stream;
}

Bytes pdu_of(const Bytes& rtu_frame) {
  return {rtu_frame.begin() + 1, rtu_frame.end() - 2};
}

}  // namespace

TEST_SUITE("protocol/mbap/decoder") {
  TEST_CASE("the guide's example is sealed and read as the guide has it") {
    const Adu adu = seal(0x1501, 0xFF, Octets{kExample}.subspan(7));
    CHECK(std::equal(adu.octets().begin(), adu.octets().end(), kExample.begin(), kExample.end()));
    const Stream stream = hear(kExample, kExample.size());
    REQUIRE(stream.frames.size() == 1);
    CHECK(stream.frames[0] == Heard{0x1501, 0xFF, {0x03, 0x00, 0x04, 0x00, 0x01}});
  }

  // The PDUs are the standard's examples, as tests/vectors tells.
  TEST_CASE("a stream gives the same frames whole, octet by octet and in any pieces") {
    Bytes octets;
    std::vector<Heard> sent;
    std::uint16_t transaction = 0xFFF0;
    for (const auto& frame : tests::vectors::modbus_frames()) {
      const Bytes pdu = pdu_of(frame.octets);
      const Adu adu = seal(transaction, frame.octets[0], pdu);
      octets.insert(octets.end(), adu.octets().begin(), adu.octets().end());
      sent.push_back({transaction++, frame.octets[0], pdu});
    }
    for (const std::size_t piece : {std::size_t{1}, std::size_t{2}, std::size_t{5}, std::size_t{6},
                                    std::size_t{7}, std::size_t{255}, std::size_t{261}, octets.size()}) {
      CAPTURE(piece);
      CHECK(hear(octets, piece) == Stream{sent, 0, false});
    }
  }

  TEST_CASE("a cut stream gives no frame and says that one is unfinished") {
    for (std::size_t size = 0; size < kExample.size(); ++size) {
      CAPTURE(size);
      Decoder decoder;
      Octets rest = Octets{kExample}.first(size);
      CHECK(decoder.push(rest) == Outcome::kMore);
      CHECK(decoder.unfinished() == (size > 0));
    }
    Decoder decoder;
    Octets rest{kExample};
    CHECK(decoder.push(rest) == Outcome::kFrame);
    CHECK_FALSE(decoder.unfinished());
  }

  TEST_CASE("every length the field can claim is read within one frame, or ends the stream") {
    for (std::uint32_t length = 0; length <= 0xFFFF; ++length) {
      Bytes octets(700, 0x03);
      octets[0] = octets[1] = octets[2] = octets[3] = 0;
      octets[4] = static_cast<std::uint8_t>(length >> 8);
      octets[5] = static_cast<std::uint8_t>(length & 0xFF);
      Decoder decoder;
      Octets rest{octets};
      const Outcome outcome = decoder.push(rest);
      const bool sound = length >= 2 && length <= 254;
      const bool right = sound ? outcome == Outcome::kFrame && decoder.frame().pdu.size() == length - 1 &&
                                     rest.size() == octets.size() - 6 - length
                               : outcome == Outcome::kLost && rest.empty();
      if (!right) FAIL_CHECK("length " << length);
    }
  }

  TEST_CASE("a lost stream stays lost, whatever follows, until it is begun anew") {
    Decoder decoder;
    const Bytes bad{0, 1, 0, 0, 0, 1};
    Octets rest{bad};
    REQUIRE(decoder.push(rest) == Outcome::kLost);
    rest = Octets{kExample};
    CHECK(decoder.push(rest) == Outcome::kLost);
    CHECK(rest.empty());
    decoder.reset();
    rest = Octets{kExample};
    CHECK(decoder.push(rest) == Outcome::kFrame);
  }

  TEST_CASE("a frame of another protocol is stepped over and the next one read") {
    for (const std::size_t piece : {std::size_t{1}, std::size_t{100}}) {
      Bytes octets = kExample;
      octets[3] = 1;
      octets.insert(octets.end(), kExample.begin(), kExample.end());
      const Stream stream = hear(octets, piece);
      CHECK(stream.foreign == 1);
      CHECK(stream.frames.size() == 1);
      CHECK_FALSE(stream.lost);
    }
  }

  TEST_CASE("random octets never give more than they hold") {
    std::mt19937 random{20261127};
    for (int round = 0; round < 20000; ++round) {
      Bytes octets(random() % 600);
      for (auto& octet : octets) octet = static_cast<std::uint8_t>(random() % 4 == 0 ? random() : 0);
      const Stream whole = hear(octets, 600);
      std::size_t held = 0;
      for (const Heard& frame : whole.frames) held += frame.pdu.size() + 7;
      if (held > octets.size()) FAIL_CHECK("round " << round);
      if (whole != hear(octets, 1 + random() % 20)) FAIL_CHECK("round " << round);
    }
  }
}
