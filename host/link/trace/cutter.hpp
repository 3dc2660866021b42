#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace host::link::trace {

/// Puts octets that come in pieces together to frames, so that each stands in a packet of its own. A frame
/// ends where its length says and its CRC holds; what is no frame ends with a silence, or when it is asked
/// for. Holds at most one frame and what came with its last piece.
class Cutter {
 public:
  using Instant = protocol::base::Instant;
  /// Octets that belong together, and when the first and the last of them had come.
  using Take = std::function<void(protocol::base::Octets octets, Instant first, Instant last)>;

  explicit Cutter(Take take) : take_{std::move(take)} {}

  void push(protocol::base::Octets octets, Instant now);

  /// Hands over what is held, frame or not.
  void flush();

 private:
  void hand_over(std::size_t count);

  Take take_;
  std::vector<std::uint8_t> held_;
  Instant first_{};
  Instant last_{};
};

}  // namespace host::link::trace
