#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/pdu/length.hpp"

namespace protocol::rtu {

/// Unit address, PDU, CRC. Source  MODBUS over Serial Line V1.02, 2.5.1.
inline constexpr std::size_t kAduSizeMax = 256;
inline constexpr std::size_t kAduSizeMin = 4;
inline constexpr std::size_t kAduOverhead = 3;

/// A frame as it goes over the wire. A plain value.
struct Adu {
  std::array<std::uint8_t, kAduSizeMax> storage{};
  std::uint16_t size = 0;

  [[nodiscard]] base::Octets octets() const { return {storage.data(), size}; }
};

/// Puts address and CRC round a PDU. Precondition: 1 <= pdu.size() <= kPduSizeMax.
[[nodiscard]] Adu seal(std::uint8_t unit_address, base::Octets pdu);

/// The same into a frame that is there already. `pdu` lies outside of it.
void seal(Adu& adu, std::uint8_t unit_address, base::Octets pdu);

/// Puts the CRC behind the address and the PDU of `pdu_size` octets that `adu` begins with; returns the size
/// of the frame. Precondition: pdu_size + kAduOverhead <= adu.size().
std::size_t seal_in_place(base::OctetSink adu, std::size_t pdu_size);

/// The CRC a frame carries. Precondition: frame.size() >= kAduSizeMin.
[[nodiscard]] std::uint16_t carried_crc(base::Octets frame);

/// Whether `frame`, taken whole, ends with its CRC. Frames shorter than 4 octets never do.
[[nodiscard]] bool crc_holds(base::Octets frame);

/// The PDU inside a frame, a view. Precondition: frame.size() >= kAduSizeMin.
[[nodiscard]] base::Octets pdu_of(base::Octets frame);

/// How long the frame is that begins with `octets`, address and CRC counted, or how it is not known.
/// Requests and responses are different languages: the same octets may have a length in both.
/// Source  protocol/pdu/length.hpp.
[[nodiscard]] pdu::Length request_length(base::Octets octets);
[[nodiscard]] pdu::Length response_length(base::Octets octets);

}  // namespace protocol::rtu
