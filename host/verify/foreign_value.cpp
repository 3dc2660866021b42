#include "host/verify/foreign_value.hpp"

#include <algorithm>
#include <string>
#include <string_view>

#include "protocol/points/layout.hpp"

namespace host::verify {
namespace {

using model::RegisterType;
using protocol::points::Reading;

Reading text_reading(std::string_view text) {
  text = text.substr(0, text.find('\0'));
  text = text.substr(0, text.find_last_not_of(' ') + 1);
  Reading reading;
  reading.kind = Reading::Kind::kText;
  reading.text_size = static_cast<std::uint8_t>(std::min(text.size(), reading.text_octets.size()));
  std::copy_n(text.begin(), reading.text_size, reading.text_octets.begin());
  return reading;
}

std::string letters(std::span<const std::uint16_t> words) {
  std::string text;
  for (const std::uint16_t word : words) {
    text += static_cast<char>(word >> 8);
    text += static_cast<char>(word & 0xFFU);
  }
  return text;
}

std::int64_t raw_value(const model::ForeignRegister& one, std::span<const std::uint16_t> words) {
  const auto wide = [&] {
    const std::uint32_t high = one.low_word_first ? words[1] : words[0];
    const std::uint32_t low = one.low_word_first ? words[0] : words[1];
    return (high << 16) | low;
  };
  switch (one.type) {
    case RegisterType::kS16: return static_cast<std::int16_t>(words[0]);
    case RegisterType::kU32: return wide();
    case RegisterType::kS32: return static_cast<std::int32_t>(wide());
    case RegisterType::kU16:
    case RegisterType::kBit:
    case RegisterType::kText: break;
  }
  return words[0];
}

std::int64_t divided(std::int64_t value, std::int64_t by) {
  const std::int64_t half = by / 2;
  return value < 0 ? -((-value + half) / by) : (value + half) / by;
}

}  // namespace

Reading foreign_reading(const model::ForeignRegister& one, std::span<const std::uint16_t> words) {
  if (words.size() < static_cast<std::size_t>(one.words())) return {};
  if (one.type == RegisterType::kText) return text_reading(letters(words));
  const std::int64_t raw = raw_value(one, words);
  if (is_text(protocol::points::layout(one.point).type)) return text_reading(std::to_string(raw));
  Reading reading;
  reading.kind = Reading::Kind::kNumber;
  reading.number = divided(raw * one.times, one.divided_by);
  return reading;
}

}  // namespace host::verify
