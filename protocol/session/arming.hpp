#pragma once

#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace protocol::session {

/// The word that arms a unit for writes of its settings and its stamp, so that no one writes to another unit
/// than the one they have read, nor to one that has started anew since.
///
/// Shape    `serial` is the registers of the serial number as octets, as they came over the wire, padding
///          included; `boot` the number of the unit's last start.
/// Returns  CRC-16/MODBUS over `serial` and the two octets of `boot`, the high one first; where that is 0 or
///          above FFFCh, which stand for "disarmed" and "no value", its highest bit turned.
[[nodiscard]] std::uint16_t arming_word(base::Octets serial, std::uint16_t boot);

/// Written instead of it: takes the leave to write away.
inline constexpr std::uint16_t kDisarm = 0;

}  // namespace protocol::session
