#include "protocol/points/reading.hpp"

namespace protocol::points {
namespace {

constexpr std::int64_t power_of_ten(std::int8_t scale) {
  std::int64_t power = 1;
  for (std::int8_t i = 0; i < scale; ++i) power *= 10;
  return power;
}

constexpr std::uint32_t unread_word(Type type, Unread why) {
  const auto step = static_cast<std::uint32_t>(why);
  if (type == Type::kS16) return 0x8000U + step;
  if (type == Type::kU32) return 0xFFFFFFFFU - step;
  return 0xFFFFU - step;
}

bool unread_reason(Type type, std::uint32_t raw, Unread& why) {
  for (const Unread reason : {Unread::kNotFitted, Unread::kAsleep, Unread::kNoEdges}) {
    if (raw == unread_word(type, reason)) {
      why = reason;
      return true;
    }
  }
  return false;
}

Reading decode_text(std::span<const std::uint16_t> registers) {
  Reading reading;
  if (unread_reason(Type::kText8, registers[0], reading.unread)) return reading;
  reading.kind = Reading::Kind::kText;
  for (const std::uint16_t word : registers) {
    for (const char octet : {static_cast<char>(word >> 8), static_cast<char>(word & 0xFFU)}) {
      if (octet == '\0') return reading;
      reading.text_octets[reading.text_size++] = octet;
    }
  }
  return reading;
}

}  // namespace

Reading decode(Point point, std::span<const std::uint16_t> registers) {
  const Layout& how = layout(point);
  const std::uint16_t count = register_count(how.type);
  if (registers.size() < count) return {};
  if (is_text(how.type)) return decode_text(registers.first(count));

  const std::uint32_t raw = how.type == Type::kU32 ? (std::uint32_t{registers[0]} << 16) | registers[1]
                                                   : std::uint32_t{registers[0]};
  Reading reading;
  if (unread_reason(how.type, raw, reading.unread)) return reading;
  reading.kind = Reading::Kind::kNumber;
  const std::int64_t value =
      how.type == Type::kS16 ? static_cast<std::int64_t>(static_cast<std::int16_t>(raw)) : std::int64_t{raw};
  reading.number = value * power_of_ten(how.scale);
  return reading;
}

bool encode(Point point, std::int64_t number, std::span<std::uint16_t> registers) {
  const Layout& how = layout(point);
  if (is_text(how.type) || registers.size() < register_count(how.type)) return false;
  const std::int64_t raw = number / power_of_ten(how.scale);
  if (how.type == Type::kS16) {
    if (raw < -0x7FFD || raw > 0x7FFF) return false;
    registers[0] = static_cast<std::uint16_t>(static_cast<std::int16_t>(raw));
    return true;
  }
  const std::int64_t largest = how.type == Type::kU32 ? 0xFFFFFFFC : 0xFFFC;
  if (raw < 0 || raw > largest) return false;
  if (how.type == Type::kU32) {
    registers[0] = static_cast<std::uint16_t>(raw >> 16);
    registers[1] = static_cast<std::uint16_t>(raw & 0xFFFF);
  } else {
    registers[0] = static_cast<std::uint16_t>(raw);
  }
  return true;
}

bool encode_text(Point point, std::string_view text, std::span<std::uint16_t> registers) {
  const Layout& how = layout(point);
  const std::size_t count = register_count(how.type);
  if (!is_text(how.type) || registers.size() < count) return false;
  const auto octet = [text](std::size_t at) {
    return at < text.size() ? static_cast<std::uint8_t>(text[at]) : std::uint8_t{0};
  };
  for (std::size_t i = 0; i < count; ++i) {
    registers[i] = static_cast<std::uint16_t>((octet(2 * i) << 8) | octet(2 * i + 1));
  }
  return true;
}

void encode_unread(Point point, Unread why, std::span<std::uint16_t> registers) {
  const Layout& how = layout(point);
  if (registers.size() < register_count(how.type)) return;
  const std::uint32_t raw = unread_word(how.type, why);
  if (how.type == Type::kU32) {
    registers[0] = static_cast<std::uint16_t>(raw >> 16);
    registers[1] = static_cast<std::uint16_t>(raw & 0xFFFFU);
    return;
  }
  registers[0] = static_cast<std::uint16_t>(raw);
  for (std::size_t i = 1; i < register_count(how.type); ++i) registers[i] = 0;
}

}  // namespace protocol::points
