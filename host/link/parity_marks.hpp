#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "protocol/base/bytes.hpp"

namespace host::link {

/// Undoes the marking that a terminal with PARMRK set puts into what it reads.
///
///   FF FF    one octet FF that arrived sound
///   FF 00 x  one octet x that arrived with a parity or framing error (x = 00 also for a break)
///   other    itself
///
/// Worked example: 01 FF FF 02 FF 00 41 03 reads as 01 FF 02 <damaged> 03.
///
/// Reading a damaged octet as a plain 00 (PARMRK off) would turn one flipped bit into a whole wrong octet and
/// let some of those frames pass the CRC; so a mark condemns, it never becomes data.
///
/// Source  POSIX.1-2017 Base Definitions 11.2.2 (PARMRK); termios(3).
class ParityMarks {
 public:
  struct Sound {
    std::vector<std::uint8_t> octets;  ///< in order, damaged ones left out
    /// Where damaged ones were, or marks that make no sense: each a number of octets that came before it,
    /// ascending; 3 in the worked example.
    std::vector<std::size_t> damage;
    std::vector<std::uint8_t> damaged;  ///< each of `damage` as it came: 41 in the worked example
  };

  /// Decodes `raw`; a mark may be split over two calls anywhere. What is returned holds until the next call.
  [[nodiscard]] const Sound& decode(protocol::base::Octets raw);

 private:
  enum class State : std::uint8_t { kPlain, kAfterFf, kAfterFf00 };
  State state_ = State::kPlain;
  Sound sound_;
};

}  // namespace host::link
