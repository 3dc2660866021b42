#include "protocol/mbap/frame.hpp"

#include <algorithm>
#include <cassert>

namespace protocol::mbap {

Adu seal(std::uint16_t transaction, std::uint8_t unit, base::Octets pdu) {
  assert(!pdu.empty() && pdu.size() <= pdu::kPduSizeMax);
  Adu adu;
  base::write_be16(adu.storage, 0, transaction);
  base::write_be16(adu.storage, 2, 0);
  base::write_be16(adu.storage, 4, static_cast<std::uint16_t>(1 + pdu.size()));
  adu.storage[6] = unit;
  std::copy(pdu.begin(), pdu.end(), adu.storage.begin() + kHeaderSize);
  adu.size = static_cast<std::uint16_t>(kHeaderSize + pdu.size());
  return adu;
}

}  // namespace protocol::mbap
