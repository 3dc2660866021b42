#pragma once

namespace protocol::session {

/// What keeps an answer from being taken for another's. A release has them all; the tests switch each off
/// in turn and demand that wrong values then appear.
struct AllGuards {
  static constexpr bool kFence = true;             ///< after trouble nothing counts until 08/00 came back
  static constexpr bool kUnlikeNeighbours = true;  ///< two reads in a row never have one shape
  static constexpr bool kExactLength = true;       ///< an answer has the length that was asked
  static constexpr bool kByteCount = true;         ///< nor is one taken that has more than was asked
  static constexpr bool kFunction = true;          ///< an answer has the function that was asked
  static constexpr bool kExceptionBit = true;      ///< a refusal is no answer
  static constexpr bool kLateness = true;          ///< what was given up may still come
  static constexpr bool kCrc = true;               ///< a frame with a wrong CRC is no frame
  static constexpr bool kCrcHighOctet = true;      ///< nor is one with half of it right
  static constexpr bool kStrayOctets = true;       ///< octets outside an exchange are trouble
  static constexpr bool kAddress = true;           ///< an answer comes from the unit asked
  static constexpr bool kEcho = true;              ///< our own octets are no answer
};

}  // namespace protocol::session
