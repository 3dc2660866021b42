#pragma once

#include <array>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/pdu/identification.hpp"
#include "protocol/pdu/request.hpp"

namespace protocol::pdu {

/// An answer that was accepted: a copy of its PDU, so it outlives the session's buffers.
class Response {
 public:
  Response() = default;

  /// Copies `pdu`. Precondition: pdu.size() <= kPduSizeMax.
  explicit Response(base::Octets pdu);

  [[nodiscard]] base::Octets octets() const { return {octets_.data(), size_}; }

  /// Registers of a 03, 04 or 17 answer, else 0.
  [[nodiscard]] std::uint16_t word_count() const;

  /// The word at `index` of a 03, 04 or 17 answer. Precondition: index < word_count().
  [[nodiscard]] std::uint16_t word(std::uint16_t index) const;

  /// The bit at index of a 01 or 02 answer; false past its last octet, and for any other answer.
  /// Source  AP V1.1b3, 6.1 and 6.2: the first bit is the lowest of the first octet.
  [[nodiscard]] bool bit(std::uint16_t index) const;

  /// Whether this is a 2B/0E answer.
  [[nodiscard]] bool has_identification() const;

  /// The page of a 2B/0E answer; views this Response. Precondition: has_identification().
  [[nodiscard]] IdentificationPage identification() const;

 private:
  std::array<std::uint8_t, kPduSizeMax> octets_{};
  std::uint16_t size_ = 0;
};

/// How a PDU stands to a request.
enum class Match : std::uint8_t {
  kAnswer,     ///< has the function, the length and every field the request fixes
  kException,  ///< function code with 80h and one exception code
  kShape,     ///< the function, but another byte count, address, value or object: some other request's answer
  kFunction,  ///< another function
};

/// Holds `pdu` against `request`. A read's answer carries no address, so `answer` alone does not prove
/// that it belongs: see protocol/session/client.hpp.
/// Source  AP V1.1b3, the response of each function.
[[nodiscard]] Match match(const Request& request, base::Octets pdu);

}  // namespace protocol::pdu
