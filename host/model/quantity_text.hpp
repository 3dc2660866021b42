#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"

namespace host::model {

/// How a quantity is spelt, as data.
struct UnitWords {
  struct Symbol {
    std::string_view text;    // "V"; may be empty
    std::int64_t count;       // of the quantity's own unit in one of these; a power of ten
    std::int64_t shown_from;  // counts from which to_text prefers it; 0: it is only read
  };
  std::string_view noun;            // "a voltage"
  std::string_view example;         // "5 V"
  std::string_view limits_example;  // "5 V ±5 %"
  std::string_view key;             // ends a JSON key: "mv"
  std::span<const Symbol> symbols;  // largest first; the last is always good to print
  bool may_be_negative = false;
};

/// The words of each unit: one table, units.cpp.
template <typename Unit>
[[nodiscard]] const UnitWords& unit_words();
template <>
const UnitWords& unit_words<MillivoltUnit>();
template <>
const UnitWords& unit_words<MilliampUnit>();
template <>
const UnitWords& unit_words<MilliwattUnit>();
template <>
const UnitWords& unit_words<MilliohmUnit>();
template <>
const UnitWords& unit_words<HertzUnit>();
template <>
const UnitWords& unit_words<MillihertzUnit>();
template <>
const UnitWords& unit_words<KilobitPerSecondUnit>();
template <>
const UnitWords& unit_words<MicrosecondUnit>();
template <>
const UnitWords& unit_words<MicrometreUnit>();
template <>
const UnitWords& unit_words<PartPerMillionUnit>();
template <>
const UnitWords& unit_words<MillidegreeUnit>();
template <>
const UnitWords& unit_words<PixelUnit>();

/// What a parser gives: a value, or one sentence that says what it expects and what it got.
template <typename T>
using Parsed = tl::expected<T, std::string>;

/// No quantity of a file counts further than this either side of 0, so that shares and products of two fit
/// 64 bits.
inline constexpr std::int64_t kCountMax = 100'000'000'000;

/// Reads one number with its unit into a whole number of the quantity's own unit, by decimal arithmetic.
///
/// Errors   a unit of another kind, digits finer than the unit resolves ("3.3005 V"), beyond kCountMax,
///          negative where that makes no sense, anything left over.
[[nodiscard]] Parsed<std::int64_t> parse_count(std::string_view text, const UnitWords& unit);

/// Reads limits as data sheets print them: "12 V", "12 V ±10 %", "5 V ±250 mV", "10.8 .. 28 V",
/// "135 / 148.5 / 160 MHz" ("-" for one that isn't given), ">= 200 ms", "<= 50 ms". "+-" stands for "±".
///
/// Errors   those of parse_count, and limits out of order.
[[nodiscard]] Parsed<Bounds<std::int64_t>> parse_limits(std::string_view text, const UnitWords& unit);

/// Reads a width either side: "±5 %", or without its sign.
[[nodiscard]] Parsed<std::int64_t> parse_tolerance(std::string_view text, const UnitWords& unit);

/// Reads two numbers of one unit: "1920 x 360", "698.4 x 130.95 mm" with separator 'x', "41.5, 18.0 mm"
/// with ','.
[[nodiscard]] Parsed<std::pair<std::int64_t, std::int64_t>> parse_pair(std::string_view text, char separator,
                                                                       const UnitWords& unit);

/// "3.3 V", "148.5 MHz", "200 ms"; exact, no trailing zeros, never in the locale's manner.
[[nodiscard]] std::string count_to_text(std::int64_t count, const UnitWords& unit);

template <typename Unit>
[[nodiscard]] std::string to_text(Quantity<Unit> quantity) {
  return count_to_text(quantity.count, unit_words<Unit>());
}

template <typename Q>
struct UnitOf;
template <typename Unit>
struct UnitOf<Quantity<Unit>> {
  using Type = Unit;
};

/// Reads one quantity, for settings and options given by people: parse<Millivolts>("3.3 V").
template <typename Q>
[[nodiscard]] Parsed<Q> parse(std::string_view text) {
  const auto count = parse_count(text, unit_words<typename UnitOf<Q>::Type>());
  if (!count) return tl::unexpected(count.error());
  return Q{*count};
}

}  // namespace host::model
