#include "sim/unit/foreign_words.hpp"

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <string>
#include <string_view>

namespace sim::unit {
namespace {

namespace model = host::model;
using model::RegisterType;

constexpr unsigned kWordBits = 16;

std::vector<std::uint16_t> letters(std::string_view text, std::size_t count) {
  std::vector<std::uint16_t> words(count, 0);
  for (std::size_t i = 0; i < std::min(text.size(), 2 * count); ++i) {
    const unsigned letter = static_cast<unsigned char>(text[i]);
    words[i / 2] = static_cast<std::uint16_t>(words[i / 2] | (i % 2 == 0 ? letter << 8 : letter));
  }
  return words;
}

std::int64_t digits_at_end(std::string_view text) {
  constexpr std::size_t kDigitsMax = 18;  // of any register there are fewer
  const std::size_t before = text.find_last_not_of("0123456789");
  text.remove_prefix(before == std::string_view::npos ? 0 : before + 1);
  if (text.size() > kDigitsMax) text.remove_prefix(text.size() - kDigitsMax);
  std::int64_t number = 0;
  for (const char digit : text) number = number * 10 + (digit - '0');
  return number;
}

std::int64_t number_of(const Value& value) {
  if (const auto* number = std::get_if<std::int64_t>(&value)) return *number;
  const auto* text = std::get_if<std::string>(&value);
  return text != nullptr ? digits_at_end(*text) : 0;
}

// The register is the number x divided_by / times; numbers are far too small for that to overflow.
std::int64_t scaled(std::int64_t number, const model::ForeignRegister& one) {
  const std::int64_t over = number * one.divided_by;
  const std::int64_t size = (std::abs(over) + one.times / 2) / one.times;
  return over < 0 ? -size : size;
}

template <typename Held>
std::uint32_t held(std::int64_t number) {
  using Limits = std::numeric_limits<Held>;
  return static_cast<std::uint32_t>(
      std::clamp<std::int64_t>(number, std::int64_t{Limits::min()}, std::int64_t{Limits::max()}));
}

}  // namespace

std::vector<std::uint16_t> foreign_words(const model::ForeignRegister& one, const Value& value) {
  if (one.type == RegisterType::kText) {
    const auto* text = std::get_if<std::string>(&value);
    return letters(text != nullptr ? *text : std::string_view{}, static_cast<std::size_t>(one.length));
  }
  const std::int64_t number = scaled(number_of(value), one);
  std::uint32_t raw = 0;
  switch (one.type) {
    case RegisterType::kU16: raw = held<std::uint16_t>(number); break;
    case RegisterType::kS16: raw = held<std::int16_t>(number); break;
    case RegisterType::kU32: raw = held<std::uint32_t>(number); break;
    case RegisterType::kS32: raw = held<std::int32_t>(number); break;
    case RegisterType::kBit: raw = number != 0 ? 1 : 0; break;
    case RegisterType::kText: break;
  }
  const auto low = static_cast<std::uint16_t>(raw);
  if (one.words() == 1) return {low};
  const auto high = static_cast<std::uint16_t>(raw >> kWordBits);
  return one.low_word_first ? std::vector{low, high} : std::vector{high, low};
}

}  // namespace sim::unit
