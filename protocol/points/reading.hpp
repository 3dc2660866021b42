#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "protocol/points/layout.hpp"

namespace protocol::points {

/// Why a point carries no value. On the wire FFFFh, FFFEh, FFFDh; signed 8000h, 8001h, 8002h; 32-bit
/// FFFFFFFFh and down; a text starts with the word FFFFh.
enum class Unread : std::uint8_t { kNotFitted, kAsleep, kNoEdges };

/// One value off the wire: a number in the point's unit, a text, or the reason why there is none.
struct Reading {
  enum class Kind : std::uint8_t { kNumber, kText, kUnread };
  Kind kind = Kind::kUnread;
  Unread unread = Unread::kNotFitted;
  std::int64_t number = 0;             // raw x 10^scale
  std::array<char, 32> text_octets{};  // as read: not yet cleaned of anything a device may say
  std::uint8_t text_size = 0;

  [[nodiscard]] std::string_view text() const { return {text_octets.data(), text_size}; }
};

/// Decodes the registers of one point.
///
/// Shape    `registers` holds register_count(type) words, the high word of a 32-bit value first; texts carry
///          two octets a word, the first in the high octet, and end at the first NUL.
/// Returns  the reading; a span that is too short reads as kNotFitted.
[[nodiscard]] Reading decode(Point point, std::span<const std::uint16_t> registers);

/// Encodes a number given in the point's unit into its registers, divided by 10^scale towards zero.
///
/// Returns  false, with the registers untouched, when the value does not fit below the words that mean
///          "unread", or the point is a text, or the span is too short.
[[nodiscard]] bool encode(Point point, std::int64_t number, std::span<std::uint16_t> registers);

/// Encodes a text, cut to what the point holds and padded with NUL. Returns false when it is no text point.
[[nodiscard]] bool encode_text(Point point, std::string_view text, std::span<std::uint16_t> registers);

/// Encodes why there is no value; a span that is too short is left alone.
void encode_unread(Point point, Unread why, std::span<std::uint16_t> registers);

}  // namespace protocol::points
