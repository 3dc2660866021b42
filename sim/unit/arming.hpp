#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "protocol/base/time.hpp"

namespace sim::unit {

/// Who a request comes from: a serial line, or one client of a network; by a number that no other client of
/// the unit has had.
using Asker = std::uint64_t;

/// One client's leave to write settings and stamp: who asks for it has read this unit's serial number, and
/// the number of this start.
///
/// It lapses with a reset, which makes another start; kArmedFor after it was given; and after kSilence
/// without a request of that client, which is all that a firmware can tell of a serial line being gone. Where
/// more can be told, Registers::link_lost() ends it.
class Arming {
 public:
  /// The client has written `word`. Returns  false when it is neither this start's word nor kDisarm; then it
  /// disarms, too: whoever wrote it takes this unit for another.
  [[nodiscard]] bool written(std::uint16_t word, std::string_view serial, std::uint16_t boot,
                             protocol::base::Instant now);
  /// A request of it has come.
  void heard(std::uint16_t boot, protocol::base::Instant now);

  /// The word that armed it while it is, else 0.
  [[nodiscard]] std::uint16_t word(std::uint16_t boot, protocol::base::Instant now) const;

  static constexpr protocol::base::Duration kArmedFor = protocol::base::milliseconds(600'000);
  static constexpr protocol::base::Duration kSilence = protocol::base::milliseconds(60'000);

 private:
  struct Armed {
    std::uint16_t word = 0;
    std::uint16_t boot = 0;
    protocol::base::Instant at{}, heard{};
  };
  std::optional<Armed> armed_;
};

}  // namespace sim::unit
