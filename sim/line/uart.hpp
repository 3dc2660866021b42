#pragma once

#include <cstdint>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "sim/line/character.hpp"

namespace sim::line {

/// A character as a receiver took it off the line.
struct Heard {
  std::uint8_t octet = 0;
  bool damaged = false;  // its parity or its stop bit was wrong
  double end_us = 0;     // middle of its stop bit, from the first start bit of the transmission
};

/// What a receiver set to `heard` makes of octets that a transmitter set to `sent` puts on the line without a
/// pause.
///
/// The line rests high; a character is a low start bit, eight data bits lowest first, parity where there is
/// one, and high stop bits. A receiver waits for a falling edge, looks at the middle of the start bit, and
/// then once in the middle of each bit of its own length. Speeds that differ give other octets, fewer or
/// more, and most of them damaged.
/// Source  what every asynchronous receiver does; no source.
[[nodiscard]] std::vector<Heard> as_heard(protocol::base::Octets octets, const CharacterFormat& sent,
                                          const CharacterFormat& heard);

/// The parity bit that goes with an octet. Precondition: parity is even or odd.
[[nodiscard]] bool parity_bit(std::uint8_t octet, Parity parity);

}  // namespace sim::line
