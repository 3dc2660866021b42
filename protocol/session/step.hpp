#pragma once

#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace protocol::session {

/// What the owner of the port does next.
struct Step {
  enum class Kind : std::uint8_t {
    kIdle,      ///< nothing: no operation is under way
    kSend,      ///< write `octets` whole, then call sent(). They stay valid until the next call but sent()
    kWait,      ///< until octets come or `until` has passed, whichever is first; then step() again
    kFinished,  ///< take outcome(); the client is idle
  };
  Kind kind = Kind::kIdle;
  base::Octets octets{};
  /// Instant::max() while a write is under way: how long that may take is the port's to bound.
  base::Instant until = base::Instant::max();
};

}  // namespace protocol::session
