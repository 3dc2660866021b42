#include "protocol/pdu/length.hpp"

#include "protocol/pdu/function.hpp"

namespace protocol::pdu {

namespace {

constexpr Length kUnknown{};

constexpr Length more(std::size_t octets) {
  return {Length::Kind::kMore, octets};
}

constexpr Length known(std::size_t octets) {
  return octets <= kPduSizeMax ? Length{Length::Kind::kKnown, octets} : kUnknown;
}

// A length that stands in the octet at `at`, on top of `fixed` octets.
Length counted(base::Octets pdu, std::size_t at, std::size_t fixed) {
  return pdu.size() > at ? known(fixed + pdu[at]) : more(at + 1);
}

// Objects carry their own lengths, so an identification is walked from one to the next.
Length identification(base::Octets pdu) {
  constexpr std::size_t kHeaderSize = 7;
  if (pdu.size() >= 2 && pdu[1] != kMeiDeviceIdentification) return kUnknown;
  if (pdu.size() < kHeaderSize) return more(kHeaderSize);
  std::size_t at = kHeaderSize;
  for (std::uint8_t object = 0; object < pdu[6]; ++object) {
    if (at + 2 > kPduSizeMax) return kUnknown;
    if (pdu.size() < at + 2) return more(at + 2);
    at += std::size_t{2} + pdu[at + 1];
  }
  return known(at);
}

}  // namespace

Length request_length(base::Octets pdu) {
  if (pdu.empty()) return more(1);
  switch (pdu[0]) {
    case 0x01:
    case 0x02:
    case 0x03:
    case 0x04:
    case 0x05:
    case 0x06:
    case 0x08: return known(5);
    case 0x07:
    case 0x0B:
    case 0x0C:
    case 0x11: return known(1);
    case 0x0F:
    case 0x10: return counted(pdu, 5, 6);
    case 0x14:
    case 0x15: return counted(pdu, 1, 2);
    case 0x16: return known(7);
    case 0x17: return counted(pdu, 9, 10);
    case 0x18: return known(3);
    case 0x2B:
      if (pdu.size() < 2) return more(2);
      return pdu[1] == kMeiDeviceIdentification ? known(4) : kUnknown;
    default: return kUnknown;
  }
}

Length response_length(base::Octets pdu) {
  if (pdu.empty()) return more(1);
  if ((pdu[0] & kExceptionFlag) != 0) return known(2);
  switch (pdu[0]) {
    case 0x01:
    case 0x02:
    case 0x03:
    case 0x04:
    case 0x0C:
    case 0x11:
    case 0x14:
    case 0x15:
    case 0x17: return counted(pdu, 1, 2);
    case 0x05:
    case 0x06:
    case 0x08:
    case 0x0B:
    case 0x0F:
    case 0x10: return known(5);
    case 0x07: return known(2);
    case 0x16: return known(7);
    case 0x18:
      if (pdu.size() < 3) return more(3);
      return known(3 + ((std::size_t{pdu[1]} << 8) | pdu[2]));
    case 0x2B: return identification(pdu);
    default: return kUnknown;
  }
}

}  // namespace protocol::pdu
