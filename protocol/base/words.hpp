#pragma once

#include <cassert>
#include <cstddef>
#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace protocol::base {

/// Registers as they stand in a frame: words of two octets, the high one first, at any place in memory. A
/// view. Source  MODBUS Application Protocol V1.1b3, 4.2.
class Words {
 public:
  Words() = default;
  /// Views the `count` words that begin at `octets`.
  constexpr Words(const std::uint8_t* octets, std::size_t count) : octets_{octets}, count_{count} {}

  [[nodiscard]] constexpr std::size_t size() const { return count_; }

  /// Precondition: index < size().
  [[nodiscard]] constexpr std::uint16_t operator[](std::size_t index) const {
    assert(index < count_);
    return static_cast<std::uint16_t>((octets_[index * 2] << 8) | octets_[index * 2 + 1]);
  }

 private:
  const std::uint8_t* octets_ = nullptr;
  std::size_t count_ = 0;
};

/// The same, to be filled.
class WordSink {
 public:
  WordSink() = default;
  /// Writes to the `count` words that begin at `octets`.
  constexpr WordSink(std::uint8_t* octets, std::size_t count) : octets_{octets}, count_{count} {}

  [[nodiscard]] constexpr std::size_t size() const { return count_; }

  /// Precondition: index < size().
  constexpr void set(std::size_t index, std::uint16_t word) const {
    assert(index < count_);
    octets_[index * 2] = static_cast<std::uint8_t>(word >> 8);
    octets_[index * 2 + 1] = static_cast<std::uint8_t>(word & 0xFFU);
  }

 private:
  std::uint8_t* octets_ = nullptr;
  std::size_t count_ = 0;
};

}  // namespace protocol::base
