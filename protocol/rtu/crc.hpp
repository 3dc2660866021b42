#pragma once

#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace protocol::rtu {

/// CRC-16/MODBUS of `octets`: polynomial 8005h reflected, initial FFFFh, no final exclusive-or.
/// On the wire the low octet goes first. Over a whole good frame, CRC included, it is 0.
/// Source  MODBUS over Serial Line V1.02, 2.5.1.2 and 6.2.2.
[[nodiscard]] std::uint16_t crc16(base::Octets octets);

}  // namespace protocol::rtu
