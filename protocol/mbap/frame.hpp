#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::mbap {

/// A frame on TCP: header, PDU; no CRC, for TCP has its own.
///
///   transaction(2)  protocol(2) = 0  length(2) = 1 + PDU  unit(1)  PDU
///
/// Source  MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 3.1.2 and 3.1.3.
inline constexpr std::size_t kHeaderSize = 7;
inline constexpr std::size_t kAduSizeMax = kHeaderSize + pdu::kPduSizeMax;
/// What the length field may say: the unit identifier and 1 to 253 octets of PDU.
inline constexpr std::uint16_t kLengthMin = 2;
inline constexpr std::uint16_t kLengthMax = 1 + pdu::kPduSizeMax;
/// Where a server listens. Source  the same, 4.2.2.
inline constexpr std::uint16_t kPort = 502;
/// The unit identifier of a server that is on TCP itself; behind a gateway it is the serial address.
/// Source  the same, 4.4.1.2.
inline constexpr std::uint8_t kUnitOfServer = 0xFF;

/// A frame as it goes into the stream. A plain value.
struct Adu {
  std::array<std::uint8_t, kAduSizeMax> storage{};
  std::uint16_t size = 0;

  [[nodiscard]] base::Octets octets() const { return {storage.data(), size}; }
};

/// Puts a header ahead of a PDU. Precondition: 1 <= pdu.size() <= kPduSizeMax.
[[nodiscard]] Adu seal(std::uint16_t transaction, std::uint8_t unit, base::Octets pdu);

}  // namespace protocol::mbap
