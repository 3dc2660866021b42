#include <algorithm>
#include <vector>

#include "host/link/trace/cutter.hpp"
#include "protocol/pdu/identification.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/rtu/crc.hpp"
#include "protocol/rtu/frame.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::pdu::Length;

// What is said of a frame's length by its first octets stays so whatever follows.
template <typename LengthOf>
void hold_length(Octets input, LengthOf length_of) {
  Length said{Length::Kind::kMore, 1};
  for (std::size_t size = 0; size <= std::min(input.size(), protocol::rtu::kAduSizeMax); ++size) {
    const Length length = length_of(input.first(size));
    if (said.kind == Length::Kind::kKnown) must(length == said, "a length once known stays");
    if (said.kind == Length::Kind::kUnknown) must(length == said, "a length that can't be never can");
    if (length.kind == Length::Kind::kMore) must(length.octets > size, "more are asked for than are there");
    if (length.kind == Length::Kind::kKnown) {
      must(length.octets >= protocol::rtu::kAduSizeMin && length.octets <= protocol::rtu::kAduSizeMax,
           "a frame has 4 to 256 octets");
    }
    said = length;
  }
}

void hold_seal(Octets input) {
  const Octets pdu = input.first(std::min(input.size(), protocol::pdu::kPduSizeMax));
  if (pdu.empty()) return;
  const protocol::rtu::Adu adu = protocol::rtu::seal(pdu[0], pdu);
  must(protocol::rtu::crc_holds(adu.octets()), "a frame sealed has its CRC");
  must(protocol::rtu::crc16(adu.octets()) == 0, "the CRC over a frame and its CRC is 0");
  must(std::ranges::equal(protocol::rtu::pdu_of(adu.octets()), pdu), "a frame sealed holds its PDU");
  // Any one bit turned is seen: the distance of a CRC of 16 bits is at least 2.
  protocol::rtu::Adu turned = adu;
  const std::size_t bit = (pdu.back() * 8U + pdu[0]) % (adu.size * 8U);
  turned.storage[bit / 8] = static_cast<std::uint8_t>(turned.storage[bit / 8] ^ (1U << (bit % 8)));
  must(!protocol::rtu::crc_holds(turned.octets()), "a turned bit is seen");
}

void hold_identification(Octets pdu) {
  if (!protocol::pdu::is_identification(pdu)) return;
  const protocol::pdu::IdentificationPage page{pdu};
  std::size_t size = 7;
  for (std::uint8_t i = 0; i < page.count(); ++i) size += 2 + page.object(i).text.size();
  must(size == pdu.size(), "the objects of an identification fill it");
}

void hold_cutter(Octets input) {
  std::vector<std::uint8_t> cut;
  Instant last{};
  host::link::trace::Cutter cutter{[&](Octets octets, Instant begun, Instant ended) {
    must(!octets.empty() && begun <= ended && last <= begun, "pieces come in order of time");
    last = begun;
    cut.insert(cut.end(), octets.begin(), octets.end());
  }};
  Instant now{};
  for (Input rest{input}; !rest.empty();) {
    const Octets piece = rest.take(1 + cut.size() % 7);
    now += microseconds(piece[0] < 0xF0 ? 1 : 100'000);
    cutter.push(piece, now);
  }
  cutter.flush();
  must(std::ranges::equal(cut, input), "no octet is lost or added where frames are cut");
}

}  // namespace

void framer(Octets input) {
  hold_length(input, protocol::rtu::request_length);
  hold_length(input, protocol::rtu::response_length);
  hold_seal(input);
  const Octets pdu = input.first(std::min(input.size(), protocol::pdu::kPduSizeMax));
  hold_identification(pdu);
  if (!pdu.empty()) {
    using protocol::pdu::Match;
    for (const auto& request :
         {protocol::pdu::read_input_registers(0x1000, 2), protocol::pdu::read_coils(0, 19),
          protocol::pdu::return_query_data(0x5A5A), protocol::pdu::report_server_id(),
          protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kExtended, 0)}) {
      const Match match = protocol::pdu::match(request, pdu);
      const bool own = pdu[0] == static_cast<std::uint8_t>(request.function());
      if (match == Match::kAnswer) must(own && pdu.size() <= request.answer_size_max(), "an answer fits");
      if (match == Match::kException) must(pdu.size() == 2 && pdu[0] >= 0x80, "a refusal has two octets");
    }
  }
  hold_cutter(input);
}

}  // namespace tests::fuzz
