#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"
#include "protocol/mbap/frame.hpp"

namespace protocol::mbap {

/// One frame out of a stream. The PDU views the decoder's buffer.
struct Frame {
  std::uint16_t transaction = 0;
  std::uint8_t unit = 0;
  base::Octets pdu;
};

/// Cuts a TCP stream into frames. Segments don't mark frames, so only the length field does: one that can't
/// be right leaves no way to find the next frame, and the connection has to be closed.
///
/// Use      while (!rest.empty()) switch (decoder.push(rest)) …
/// Memory   one frame; what a peer claims never makes it more.
/// Source   MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 3.1.3, 4.4.2.
class Decoder {
 public:
  enum class Outcome : std::uint8_t {
    kMore,     ///< all octets are taken and no frame is whole
    kFrame,    ///< frame() is one; valid until the next push() or reset()
    kForeign,  ///< a whole frame of another protocol identifier was stepped over
    kLost,     ///< a length outside 2..254; the same until reset()
  };

  /// Takes octets from the front of `octets` up to the end of one frame, and shortens it by them.
  [[nodiscard]] Outcome push(base::Octets& octets);

  /// Precondition: the last push() said kFrame.
  [[nodiscard]] Frame frame() const;

  /// Whether a frame has begun and not ended: a connection that closes now was cut.
  [[nodiscard]] bool unfinished() const { return size_ > 0 && !whole_ && !lost_; }

  /// Forgets everything: a new connection.
  void reset();

 private:
  [[nodiscard]] std::uint16_t length() const { return base::read_be16(buffer_, 4); }

  std::array<std::uint8_t, kAduSizeMax> buffer_{};
  std::size_t size_ = 0;
  bool whole_ = false;
  bool lost_ = false;
};

}  // namespace protocol::mbap
