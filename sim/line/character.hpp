#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "protocol/base/time.hpp"
#include "protocol/rtu/line_timing.hpp"

namespace sim::line {

enum class Parity : std::uint8_t { kNone, kEven, kOdd };

/// How one end of a serial line sends and hears characters; eight data bits always.
/// Source  MODBUS over Serial Line V1.02, 2.5.1: eleven bits a character, so two stop bits without parity.
struct CharacterFormat {
  std::uint32_t baud = 115'200;
  Parity parity = Parity::kEven;
  std::uint8_t stop_bits = 1;

  [[nodiscard]] constexpr std::uint8_t bits() const {
    return static_cast<std::uint8_t>(1 + 8 + (parity == Parity::kNone ? 0 : 1) + stop_bits);
  }
  [[nodiscard]] constexpr protocol::rtu::LineTiming timing() const { return {baud, bits()}; }

  friend bool operator==(const CharacterFormat&, const CharacterFormat&) = default;
};

inline constexpr std::uint32_t kBaudMin = 50;
inline constexpr std::uint32_t kBaudMax = 4'000'000;

/// "115200 Bd 8E1".
[[nodiscard]] std::string to_text(const CharacterFormat& format);

/// "none", "even", "odd". Errors   one sentence.
[[nodiscard]] tl::expected<Parity, std::string> parse_parity(std::string_view text);

/// A speed from kBaudMin to kBaudMax. Errors   one sentence.
[[nodiscard]] tl::expected<std::uint32_t, std::string> parse_baud(std::string_view text);

/// Reads "9600", "8N1" or "9600-8N1"; what the text leaves out stays as it is in `otherwise`. A speed alone
/// keeps parity and stop bits.
/// Errors   one sentence that says what would be right.
[[nodiscard]] tl::expected<CharacterFormat, std::string> parse_format(std::string_view text,
                                                                      const CharacterFormat& otherwise);

}  // namespace sim::line
