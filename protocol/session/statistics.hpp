#pragma once

#include <cstdint>

#include "protocol/base/time.hpp"

namespace protocol::session {

/// Whether the adapter hears what it sends.
enum class Echo : std::uint8_t { kUnknown, kAbsent, kPresent };

/// More than this share of bad frames, and a link is no ground for a verdict. A run of fewer frames than
/// these is held to what so many may show, so that one unlucky frame of seven doesn't decide.
inline constexpr std::uint32_t kGateFramesMin = 20;
inline constexpr std::uint32_t kGateBadPercentMax = 10;

/// What a link did since the client was made. Counts only grow.
struct Statistics {
  std::uint32_t transactions = 0;  ///< frames sent, of every kind of Exchange
  std::uint64_t octets_sent = 0;
  std::uint64_t octets_received = 0;
  std::uint32_t retries = 0;  ///< exchanges repeated after a failure
  std::uint32_t fences = 0;
  std::uint32_t spacers = 0;
  std::uint32_t fences_missing = 0;  ///< after trouble, and the unit has nothing that a fence can be made of
  std::uint32_t frames_good = 0;     ///< with a right CRC from the unit asked, whatever they said
  std::uint32_t frames_bad = 0;      ///< condemned by CRC, parity, length or collision
  std::uint32_t frames_stale = 0;    ///< good, but not the answer to what was asked
  std::uint32_t frames_foreign = 0;  ///< good, of another unit or another master
  std::uint32_t timeouts = 0;
  std::uint32_t octets_stray = 0;    ///< came while no exchange was open, or behind an answer
  std::uint32_t octets_skipped = 0;  ///< ahead of an answer: a floating bus, a driver switched late
  Echo echo = Echo::kUnknown;
  base::Duration answer_time_last{};  ///< from the last octet sent to the last octet of the answer
  base::Duration answer_time_max{};

  /// The quality gate. An untrusted link carries no verdict, whatever came over it. And a CRC lets about one
  /// in 2^15 of bad frames through, so a line on which bad frames are common can't carry a verdict.
  [[nodiscard]] constexpr bool gate_broken() const {
    if (fences_missing > 0) return true;
    const std::uint64_t all = std::uint64_t{frames_good} + frames_bad;
    const std::uint64_t held_to = all < kGateFramesMin ? kGateFramesMin : all;
    return std::uint64_t{frames_bad} * 100 > held_to * kGateBadPercentMax;
  }
};

}  // namespace protocol::session
