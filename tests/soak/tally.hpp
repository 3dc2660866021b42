#pragma once

#include <array>
#include <cstdint>

#include "protocol/pdu/function.hpp"
#include "tests/soak/wire.hpp"

namespace tests::soak {

/// What came of a soak. Counts only grow.
struct Tally {
  Counts wire;
  std::uint64_t transactions = 0;
  std::uint64_t operations = 0;
  std::uint64_t right = 0;
  std::array<std::uint64_t, 0x2C> right_by_function{};  ///< by function code
  std::uint64_t failures = 0;       ///< operations that ended without an answer, and said so
  std::uint64_t wrong = 0;          ///< answers accepted that were to another question
  std::uint64_t coincidences = 0;   ///< answers accepted that the line made: their CRC held by chance
  std::uint64_t not_recovered = 0;  ///< the second operation after all faults had stopped still failed
  std::uint64_t retries = 0;
  std::uint64_t fences = 0;
  std::uint64_t bad = 0;
  std::uint64_t stale = 0;
  std::uint64_t foreign = 0;
  std::uint64_t timeouts = 0;
  std::uint64_t octets_stray = 0;

  void add(const Counts& counts) {
    for (std::size_t i = 0; i < kFaults; ++i) wire.hits[i] += counts.hits[i];
    wire.requests += counts.requests;
    wire.frames_turned_evenly += counts.frames_turned_evenly;
    wire.frames_garbled += counts.frames_garbled;
  }

  /// Whether every function that a client may ask was answered rightly at least once.
  [[nodiscard]] bool asked_everything() const {
    for (std::size_t function = 0; function < right_by_function.size(); ++function) {
      if (protocol::pdu::is_spoken(static_cast<std::uint8_t>(function)) && right_by_function[function] == 0)
        return false;
    }
    return true;
  }

  /// Coincidences to be expected, from what was done to frames. A CRC-16 passes no odd number of turned bits
  /// and no two, and of more, as of chance, one in 2^15 where the number is known to be even, one in 2^16
  /// otherwise.
  [[nodiscard]] double coincidences_expected() const {
    return static_cast<double>(wire.frames_turned_evenly) / 32768.0 +
           static_cast<double>(wire.frames_garbled) / 65536.0;
  }
};

}  // namespace tests::soak
