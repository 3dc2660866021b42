#pragma once

#include <cstdint>

#include "protocol/base/time.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::session {

/// Whose fault a failure is. Diagnosis starts here.
enum class FailureDomain : std::uint8_t {
  kOurs,   ///< the caller's doing
  kBoard,  ///< a whole frame came from the unit and says no, or says nonsense
  kLine,   ///< nothing whole came
};

/// Every way in which an operation can end without an answer. Closed: a switch over it needs no default.
enum class FailureKind : std::uint8_t {
  kCancelled,     ///< ours: cancel() was called
  kException,     ///< board: it refused; Failure::exception says why
  kFenceRefused,  ///< board: it has no function 08/00, so no answer of it can be told from an old one
  kMismatch,   ///< board: a good frame with the wrong byte count, address, value or function, or an old one
  kSilence,    ///< line: no octet before the deadline
  kNoise,      ///< line: octets with a CRC or parity error, or none that make a frame
  kTruncated,  ///< line: the answer began and did not end
  kForeign,    ///< line: only frames of other units came
  kEchoOnly,   ///< line: our own octets came back, and no answer
  kCollision,  ///< line: the line is known to echo, and what came back was not what was sent
  kBabble,     ///< line: never quiet long enough to talk
};

/// The domain of each kind, as its comment says.
[[nodiscard]] constexpr FailureDomain domain_of(FailureKind kind) {
  switch (kind) {
    case FailureKind::kCancelled: return FailureDomain::kOurs;
    case FailureKind::kException:
    case FailureKind::kFenceRefused:
    case FailureKind::kMismatch: return FailureDomain::kBoard;
    case FailureKind::kSilence:
    case FailureKind::kNoise:
    case FailureKind::kTruncated:
    case FailureKind::kForeign:
    case FailureKind::kEchoOnly:
    case FailureKind::kCollision:
    case FailureKind::kBabble: break;
  }
  return FailureDomain::kLine;
}

/// What was on the wire when it happened. The client sends more than it is asked for.
enum class Exchange : std::uint8_t {
  kProbe,    ///< a read whose data is thrown away: does the line echo?
  kFence,    ///< 08/00 with a random word: is everything older out of the line?
  kSpacer,   ///< a short read between two reads of one shape
  kRequest,  ///< what the caller asked
};

/// Why an operation ended without an answer: that of its last attempt.
struct Failure {
  FailureKind kind = FailureKind::kSilence;
  Exchange during = Exchange::kRequest;
  /// For kind exception and fence_refused, as the board sent it; else none.
  pdu::ExceptionCode exception = pdu::ExceptionCode::kNone;
  /// For kind noise with a frame of known length: the CRC computed and the one that came; else both 0.
  std::uint16_t crc_expected = 0;
  std::uint16_t crc_received = 0;
  /// Octets that came after the last octet sent, echo included.
  std::uint16_t octets_received = 0;
  /// Exchanges of this operation that failed, this one included.
  std::uint8_t failed_attempts = 0;
  /// From the last octet sent to the end of the last attempt.
  base::Duration waited{};

  [[nodiscard]] constexpr FailureDomain domain() const { return domain_of(kind); }
};

}  // namespace protocol::session
