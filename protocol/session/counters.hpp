#pragma once

#include <array>
#include <cstdint>

namespace protocol::session {

/// The counters that 08 reads, by their sub-functions. Each counts 16 bits and begins again at 0.
/// Source  AP V1.1b3, 6.8.1; MODBUS over Serial Line V1.02, 6.1.
enum class Counter : std::uint8_t {
  kBusMessages = 0x0B,          ///< frames with a right CRC, whoever they were for
  kCommunicationErrors = 0x0C,  ///< what was thrown away with a silence: CRC, parity, length
  kExceptions = 0x0D,           ///< exceptions answered
  kServerMessages = 0x0E,       ///< frames for this unit, broadcasts included
  kNoResponses = 0x0F,          ///< of these, the ones that were not answered: broadcasts
  kNotAcknowledged = 0x10,      ///< exceptions 07: never
  kBusy = 0x11,                 ///< exceptions 06
  kOverruns = 0x12,             ///< frames lost to damaged(): the port saw a parity, framing or overrun error
};

inline constexpr std::uint8_t kCounterFirst = 0x0B;
inline constexpr std::uint8_t kCounterLast = 0x12;

/// What a server saw.
class Counters {
 public:
  /// How often, modulo 2^16, since the start or the last clear().
  [[nodiscard]] std::uint16_t operator[](Counter counter) const { return counts_[index(counter)]; }
  void count(Counter counter) {
    std::uint16_t& one = counts_[index(counter)];
    one = static_cast<std::uint16_t>(one + 1);
  }
  /// Back to 0, one of them or all.
  void clear(Counter counter) { counts_[index(counter)] = 0; }
  void clear() { counts_ = {}; }

 private:
  static constexpr std::size_t index(Counter counter) {
    return static_cast<std::size_t>(counter) - kCounterFirst;
  }

  std::array<std::uint16_t, kCounterLast - kCounterFirst + 1> counts_{};
};

}  // namespace protocol::session
