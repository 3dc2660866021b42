#include "protocol/rtu/frame.hpp"

#include <algorithm>
#include <cassert>

#include "protocol/rtu/crc.hpp"

namespace protocol::rtu {

namespace {

constexpr std::size_t kCrcSize = 2;

// From the length of a PDU to that of the frame round it; what `more` asks for lies behind the address.
pdu::Length framed(pdu::Length length) {
  const std::size_t round = length.kind == pdu::Length::Kind::kKnown ? kAduOverhead : 1;
  if (length.kind != pdu::Length::Kind::kUnknown) length.octets = length.octets + round;
  return length;
}

base::Octets behind_address(base::Octets octets) {
  return octets.empty() ? octets : octets.subspan(1);
}

}  // namespace

void seal(Adu& adu, std::uint8_t unit_address, base::Octets pdu) {
  assert(!pdu.empty() && pdu.size() <= pdu::kPduSizeMax);
  adu.storage[0] = unit_address;
  std::copy(pdu.begin(), pdu.end(), adu.storage.begin() + 1);
  adu.size = static_cast<std::uint16_t>(seal_in_place(adu.storage, pdu.size()));
}

Adu seal(std::uint8_t unit_address, base::Octets pdu) {
  Adu adu;
  seal(adu, unit_address, pdu);
  return adu;
}

std::size_t seal_in_place(base::OctetSink adu, std::size_t pdu_size) {
  assert(pdu_size + kAduOverhead <= adu.size());
  const std::size_t at = pdu_size + 1;
  const std::uint16_t crc = crc16(adu.first(at));
  adu[at] = static_cast<std::uint8_t>(crc & 0xFFU);
  adu[at + 1] = static_cast<std::uint8_t>(crc >> 8);
  return at + kCrcSize;
}

std::uint16_t carried_crc(base::Octets frame) {
  assert(frame.size() >= kAduSizeMin);
  return static_cast<std::uint16_t>(frame[frame.size() - 2] | (frame[frame.size() - 1] << 8));
}

bool crc_holds(base::Octets frame) {
  return frame.size() >= kAduSizeMin && crc16(frame) == 0;
}

base::Octets pdu_of(base::Octets frame) {
  assert(frame.size() >= kAduSizeMin);
  return frame.subspan(1, frame.size() - kAduOverhead);
}

pdu::Length request_length(base::Octets octets) {
  return framed(pdu::request_length(behind_address(octets)));
}

pdu::Length response_length(base::Octets octets) {
  return framed(pdu::response_length(behind_address(octets)));
}

}  // namespace protocol::rtu
