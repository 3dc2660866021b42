#pragma once

#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace protocol::pdu {

/// What the first octets of a PDU say about its length.
struct Length {
  enum class Kind : std::uint8_t {
    kKnown,    ///< `octets` is the whole length
    kMore,     ///< at least `octets` are needed to say
    kUnknown,  ///< the function is not known, or its length can't be right: only silence ends the frame
  };
  Kind kind = Kind::kUnknown;
  std::size_t octets = 0;

  bool operator==(const Length&) const = default;
};

/// The length of the request, or of the response, that begins with `pdu` (function code first). Knows every
/// function of the standard, so that others' traffic can be stepped over. 08 is taken to carry one word.
///
/// Returns  n > 0   it is n octets, at most kPduSizeMax
///          n < 0   at least -n octets are needed to say
///          0       the function is not known, or its length can't be right
/// Source   AP V1.1b3, the layout of each function.
[[nodiscard]] int request_size(base::Octets pdu);
[[nodiscard]] int response_size(base::Octets pdu);

/// That number as a Length.
[[nodiscard]] constexpr Length as_length(int size) {
  if (size == 0) return {};
  if (size < 0) return {Length::Kind::kMore, static_cast<std::size_t>(-size)};
  return {Length::Kind::kKnown, static_cast<std::size_t>(size)};
}

/// The same, spelled out.
[[nodiscard]] inline Length request_length(base::Octets pdu) {
  return as_length(request_size(pdu));
}
[[nodiscard]] inline Length response_length(base::Octets pdu) {
  return as_length(response_size(pdu));
}

}  // namespace protocol::pdu
