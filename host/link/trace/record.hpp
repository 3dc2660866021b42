#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace host::link::trace {

/// What happened on a wire at one moment.
struct Record {
  enum class Kind : std::uint8_t {
    kSent,      ///< by this program
    kReceived,  ///< from the unit, or from whoever else talks
    kDamaged,   ///< an octet came with a parity or framing error; `octets` has it, if it is known
    kLost,      ///< the port went away
  };
  Kind kind = Kind::kSent;
  std::int64_t at_us = 0;     ///< when its last octet had come or was handed over; since 1970, UTC
  std::int64_t first_us = 0;  ///< when its first octet had come; `at_us` where that isn't known
  std::vector<std::uint8_t> octets;
  std::uint64_t left_out = 0;  ///< octets that were received just before and are not on record, of a flood
  bool parity = false;         ///< damaged in its parity; otherwise that, its framing or a break
};

/// A wire carries frames of a serial line or of Modbus/TCP.
enum class Carrier : std::uint8_t { kRtu, kMbap };

/// What was known before the first octet: enough to say the same again.
struct Preamble {
  Carrier carrier = Carrier::kRtu;
  std::uint8_t unit_address = 1;
  std::uint32_t seed = 1;  ///< of the words that prove answers fresh
  std::uint32_t baud = 19200;
  char parity = 'E';  ///< 'N', 'E' or 'O'
  std::uint8_t stop_bits = 1;
  std::uint32_t latency_us = 0;  ///< declared for the adapter
  bool listens = false;          ///< the line was listened to before the first word
  bool operator==(const Preamble&) const = default;
};

/// Why a trace can't be read or written.
struct TraceError {
  std::string message;  ///< one sentence without its end
  std::string remedy;   ///< of what can't be read; what is to be written somewhere else the caller says
  int reason = 0;       ///< errno; 0 where the contents are wrong
};

}  // namespace host::link::trace
