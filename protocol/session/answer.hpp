#pragma once

#include <array>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/session/device.hpp"

namespace protocol::session {

/// An answer before it is framed.
struct Answer {
  std::array<std::uint8_t, pdu::kPduSizeMax> storage{};
  std::uint16_t size = 0;
  pdu::ExceptionCode exception = pdu::ExceptionCode::kNone;

  [[nodiscard]] base::Octets octets() const { return {storage.data(), size}; }
};

/// Executes one request PDU on `device` and makes the answer, or the exception. Checks in the standard's
/// order: function (01), quantity and byte count (03), address range (02), execution (04 and what the
/// device says). Knows nothing of framing, so it serves every transport.
///
/// Precondition: 1 <= request.size() <= kPduSizeMax. What stands in it is not trusted.
/// Source  AP V1.1b3, 6 and 7 and the state diagrams of each function.
[[nodiscard]] Answer answer(base::Octets request, Device& device);

/// Whether a broadcast may carry this request: writes only, for it has no answer.
/// Source  MODBUS over Serial Line V1.02, 2.2.
[[nodiscard]] bool may_be_broadcast(base::Octets request);

}  // namespace protocol::session
