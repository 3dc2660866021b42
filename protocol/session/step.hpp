#pragma once

#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace protocol::session {

/// What the owner of the port does next.
struct Step {
  enum class Kind : std::uint8_t {
    idle,      ///< nothing: no operation is under way
    send,      ///< write `octets` whole, then call sent(). They stay valid until the next call but sent()
    wait,      ///< until octets come or `until` has passed, whichever is first; then step() again
    finished,  ///< take outcome(); the client is idle
  };
  Kind kind = Kind::idle;
  base::Octets octets{};
  /// Instant::max() while a write is under way: how long that may take is the port's to bound.
  base::Instant until = base::Instant::max();
};

}  // namespace protocol::session
