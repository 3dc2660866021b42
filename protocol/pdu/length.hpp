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
/// A length above kPduSizeMax is `unknown`.
/// Source  AP V1.1b3, the layout of each function.
[[nodiscard]] Length request_length(base::Octets pdu);
[[nodiscard]] Length response_length(base::Octets pdu);

}  // namespace protocol::pdu
