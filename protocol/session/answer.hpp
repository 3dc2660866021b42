#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/session/device.hpp"

namespace protocol::session {

/// What an answer needs of memory while it is made: one octet more than any PDU has.
inline constexpr std::size_t kAnswerRoom = pdu::kPduSizeMax + 1;

/// Executes one request PDU on `device` and writes the answer, or the exception, where the request stood.
/// Checks in the standard's order: function (01), quantity and byte count (03), address range (02), execution
/// (04 and what the device says). Knows nothing of framing, so it serves every transport: a server on TCP
/// hands it the octets behind the MBAP header (protocol/mbap), a serial one those behind the unit address. 08
/// is answered for sub-function 00 alone; the others belong to a serial port and are Server's.
///
/// Shape    `pdu` is kAnswerRoom octets or more of room; the request is its first `size`, 1..kPduSizeMax, and
///          not trusted. All of the room may be written.
/// Returns  the octets of the answer, 2..kPduSizeMax.
/// Errors   an exception is an answer too: kExceptionFlag in pdu[0], its code in pdu[1].
/// Source   AP V1.1b3, 6 and 7 and the state diagrams of each function.
[[nodiscard]] std::size_t answer(base::OctetSink pdu, std::size_t size, Device& device);

/// An answer by itself, where memory is no matter.
struct Answer {
  std::array<std::uint8_t, kAnswerRoom> storage{};
  std::size_t size = 0;

  [[nodiscard]] base::Octets octets() const { return {storage.data(), size}; }
  /// None, or why the request was refused.
  [[nodiscard]] pdu::ExceptionCode exception() const {
    return (storage[0] & pdu::kExceptionFlag) == 0 ? pdu::ExceptionCode::kNone
                                                   : static_cast<pdu::ExceptionCode>(storage[1]);
  }
};

/// The same for a request that is to stay as it is. Precondition: 1 <= request.size() <= kPduSizeMax.
[[nodiscard]] inline Answer answer(base::Octets request, Device& device) {
  Answer made;
  std::copy(request.begin(), request.end(), made.storage.begin());
  made.size = answer(made.storage, request.size(), device);
  return made;
}

/// Writes an exception over the request at `pdu`, of two octets or more; returns its size, 2.
/// Source  AP V1.1b3, 7.
std::size_t refuse(std::uint8_t* pdu, pdu::ExceptionCode code);
inline std::size_t refuse(base::OctetSink pdu, pdu::ExceptionCode code) {
  return refuse(pdu.data(), code);
}

/// Whether a broadcast may carry this function: writes only, for it has no answer.
/// Source  MODBUS over Serial Line V1.02, 2.2.
[[nodiscard]] bool may_be_broadcast(std::uint8_t function);

}  // namespace protocol::session
