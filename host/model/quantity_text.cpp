#include "host/model/quantity_text.hpp"

#include <algorithm>
#include <optional>

namespace host::model {
namespace {

constexpr std::size_t kDigitsMax = 15;  // more could not be a count within kCountMax at any unit

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// A number as written, before its unit is known.
struct Decimal {
  bool negative = false;
  std::int64_t digits = 0;  // without the point
  int fraction = 0;         // digits behind it, trailing zeros taken off
};

/// Walks over a text from its front; every take_… leaves it in place when it finds nothing.
class Cursor {
 public:
  explicit Cursor(std::string_view text) : rest_(text) { skip_spaces(); }

  [[nodiscard]] bool at_end() const { return rest_.empty(); }

  bool take(std::string_view word) {
    if (!rest_.starts_with(word)) return false;
    rest_.remove_prefix(word.size());
    skip_spaces();
    return true;
  }

  std::optional<Decimal> take_decimal() {
    Decimal decimal;
    std::string_view left = rest_;
    if (left.starts_with('-')) {
      decimal.negative = true;
      left.remove_prefix(1);
    }
    const std::size_t whole = digits_in_front(left);
    if (whole == 0) return std::nullopt;
    std::string digits(left.substr(0, whole));
    left.remove_prefix(whole);
    if (left.size() > 1 && left[0] == '.' && is_digit(left[1])) {
      const std::size_t behind = digits_in_front(left.substr(1));
      digits += left.substr(1, behind);
      decimal.fraction = static_cast<int>(behind);
      left.remove_prefix(1 + behind);
    }
    for (; decimal.fraction > 0 && digits.back() == '0'; --decimal.fraction) digits.pop_back();
    digits.erase(0, std::min(digits.find_first_not_of('0'), digits.size() - 1));
    if (digits.size() > kDigitsMax) return std::nullopt;
    for (const char digit : digits) decimal.digits = decimal.digits * 10 + (digit - '0');
    rest_ = left;
    skip_spaces();
    return decimal;
  }

  /// The unit whose symbol stands here and ends at a space, a sign or the end.
  const UnitWords::Symbol* take_symbol(const UnitWords& unit) {
    const std::size_t end = std::min(std::min(rest_.find(' '), rest_.find("±")), rest_.size());
    const std::string_view word = rest_.substr(0, end);
    for (const auto& symbol : unit.symbols) {
      if (symbol.text != word) continue;
      rest_.remove_prefix(end);
      skip_spaces();
      return &symbol;
    }
    return nullptr;
  }

 private:
  static std::size_t digits_in_front(std::string_view text) {
    return static_cast<std::size_t>(std::find_if_not(text.begin(), text.end(), is_digit) - text.begin());
  }
  void skip_spaces() {
    while (rest_.starts_with(' ')) rest_.remove_prefix(1);
  }

  std::string_view rest_;
};

std::string quoted(std::string_view text) {
  return "'" + std::string(text) + "'";
}

std::string expects(const UnitWords& unit, std::string_view example, std::string_view got) {
  return "expects " + std::string(unit.noun) + " such as " + quoted(example) + ", got " + quoted(got);
}

Parsed<std::int64_t> count_of(const Decimal& decimal, const UnitWords::Symbol& symbol, const UnitWords& unit,
                              std::string_view text) {
  std::int64_t factor = symbol.count;
  int fraction = decimal.fraction;
  for (; fraction > 0 && factor > 1; --fraction) factor /= 10;
  if (fraction > 0) {
    return tl::unexpected("has more digits than are kept: " + quoted(text) + " is finer than " +
                          count_to_text(1, unit));
  }
  if (decimal.digits > kCountMax / factor) {
    return tl::unexpected("is too large: " + quoted(text) + " is beyond " + count_to_text(kCountMax, unit));
  }
  if (decimal.negative && !unit.may_be_negative && decimal.digits != 0) {
    return tl::unexpected("can't be negative: " + quoted(text));
  }
  const std::int64_t count = decimal.digits * factor;
  return decimal.negative ? -count : count;
}

using Limits = Bounds<std::int64_t>;

Parsed<Limits> in_order(const Limits& limits, const UnitWords& unit, std::string_view text) {
  const auto falls = [](const std::optional<std::int64_t>& low, const std::optional<std::int64_t>& high) {
    return low && high && *low > *high;
  };
  if (falls(limits.min, limits.nominal) || falls(limits.nominal, limits.max) ||
      falls(limits.min, limits.max)) {
    return tl::unexpected("has limits out of order in " + quoted(text) +
                          "; write min / typical / max, rising");
  }
  if (limits.min && *limits.min < 0 && !unit.may_be_negative) {
    return tl::unexpected("reaches below zero: " + quoted(text));
  }
  if (limits.max && *limits.max > kCountMax) return tl::unexpected("is too large: " + quoted(text));
  return limits;
}

/// "12 V", "12 V ±10 %" or "5 V ±250 mV", the number already taken.
Parsed<Limits> around(Cursor cursor, const Decimal& decimal, const UnitWords& unit, std::string_view text) {
  const auto wrong = [&] { return tl::unexpected(expects(unit, unit.limits_example, text)); };
  const auto* symbol = cursor.take_symbol(unit);
  if (symbol == nullptr) return wrong();
  const auto nominal = count_of(decimal, *symbol, unit, text);
  if (!nominal) return tl::unexpected(nominal.error());
  if (cursor.at_end()) return Limits{.min = {}, .nominal = *nominal, .max = {}};

  if (!cursor.take("±") && !cursor.take("+-")) return wrong();
  const auto width = cursor.take_decimal();
  if (!width) return wrong();
  const UnitWords& share = unit_words<PartPerMillionUnit>();
  const bool of_value = &unit != &share && cursor.take("%");
  const auto* width_symbol = of_value ? &share.symbols.front() : cursor.take_symbol(unit);
  if (width_symbol == nullptr || !cursor.at_end()) return wrong();
  auto half = count_of(*width, *width_symbol, of_value ? share : unit, text);
  if (!half) return tl::unexpected(half.error());
  if (of_value) {
    if (*half > 1'000'000) return tl::unexpected("has a tolerance above 100 %: " + quoted(text));
    half = share_of(Quantity<void>{*nominal}, PartsPerMillion{*half}).count;
  }
  return in_order({.min = *nominal - *half, .nominal = *nominal, .max = *nominal + *half}, unit, text);
}

/// "10.8 .. 28 V" or "135 / - / 160 MHz": two or three numbers, any of them "-", then one unit.
Parsed<Limits> listed(Cursor cursor, std::optional<Decimal> first, const UnitWords& unit,
                      std::string_view text) {
  const auto wrong = [&] { return tl::unexpected(expects(unit, unit.limits_example, text)); };
  std::optional<Decimal> written[3] = {first, std::nullopt, std::nullopt};
  if (cursor.take("..")) {
    written[2] = cursor.take_decimal();
    if (!first || !written[2]) return wrong();
  } else {
    for (int n = 1; n < 3; ++n) {
      if (!cursor.take("/")) return wrong();
      written[n] = cursor.take_decimal();
      if (!written[n] && !cursor.take("-")) return wrong();
    }
  }
  const auto* symbol = cursor.take_symbol(unit);
  if (symbol == nullptr || !cursor.at_end()) return wrong();
  std::optional<std::int64_t> counts[3];
  for (int n = 0; n < 3; ++n) {
    if (!written[n]) continue;
    const auto count = count_of(*written[n], *symbol, unit, text);
    if (!count) return tl::unexpected(count.error());
    counts[n] = *count;
  }
  if (!counts[0] && !counts[1] && !counts[2]) return wrong();
  return in_order({.min = counts[0], .nominal = counts[1], .max = counts[2]}, unit, text);
}

}  // namespace

Parsed<std::int64_t> parse_count(std::string_view text, const UnitWords& unit) {
  Cursor cursor(text);
  const auto decimal = cursor.take_decimal();
  const auto* symbol = decimal ? cursor.take_symbol(unit) : nullptr;
  if (symbol == nullptr || !cursor.at_end()) return tl::unexpected(expects(unit, unit.example, text));
  return count_of(*decimal, *symbol, unit, text);
}

Parsed<Bounds<std::int64_t>> parse_limits(std::string_view text, const UnitWords& unit) {
  Cursor cursor(text);
  const bool at_least = cursor.take(">=");
  if (at_least || cursor.take("<=")) {
    const auto decimal = cursor.take_decimal();
    const auto* symbol = decimal ? cursor.take_symbol(unit) : nullptr;
    if (symbol == nullptr || !cursor.at_end()) {
      return tl::unexpected(expects(unit, unit.limits_example, text));
    }
    const auto count = count_of(*decimal, *symbol, unit, text);
    if (!count) return tl::unexpected(count.error());
    return at_least ? Limits{.min = *count, .nominal = {}, .max = {}}
                    : Limits{.min = {}, .nominal = {}, .max = *count};
  }
  const auto first = cursor.take_decimal();
  if (!first && !cursor.take("-")) return tl::unexpected(expects(unit, unit.limits_example, text));
  Cursor ahead = cursor;
  if (!first || ahead.take("..") || ahead.take("/")) return listed(cursor, first, unit, text);
  return around(cursor, *first, unit, text);
}

Parsed<std::int64_t> parse_tolerance(std::string_view text, const UnitWords& unit) {
  Cursor cursor(text);
  if (!cursor.take("±")) cursor.take("+-");
  const auto decimal = cursor.take_decimal();
  const auto* symbol = decimal ? cursor.take_symbol(unit) : nullptr;
  if (symbol == nullptr || !cursor.at_end()) {
    return tl::unexpected(expects(unit, "±" + std::string(unit.example), text));
  }
  return count_of(*decimal, *symbol, unit, text);
}

Parsed<std::pair<std::int64_t, std::int64_t>> parse_pair(std::string_view text, char separator,
                                                         const UnitWords& unit) {
  Cursor cursor(text);
  const auto first = cursor.take_decimal();
  const bool parted = first && cursor.take(std::string_view(&separator, 1));
  const auto second = parted ? cursor.take_decimal() : std::nullopt;
  const auto* symbol = second ? cursor.take_symbol(unit) : nullptr;
  if (symbol == nullptr || !cursor.at_end()) {
    const std::string_view behind = unit.symbols.back().text.empty() ? "" : " mm";
    const std::string example = separator == 'x' ? "1920 x 360" : "41.5, 18";
    return tl::unexpected("expects two numbers such as " + quoted(example + std::string(behind)) + ", got " +
                          quoted(text));
  }
  const auto a = count_of(*first, *symbol, unit, text);
  if (!a) return tl::unexpected(a.error());
  const auto b = count_of(*second, *symbol, unit, text);
  if (!b) return tl::unexpected(b.error());
  return std::pair{*a, *b};
}

std::string count_to_text(std::int64_t count, const UnitWords& unit) {
  const std::int64_t size = count < 0 ? -count : count;
  const auto fits = [&](const UnitWords::Symbol& symbol) {
    return symbol.shown_from != 0 && size >= symbol.shown_from;
  };
  auto symbol = std::find_if(unit.symbols.begin(), unit.symbols.end(), fits);
  if (symbol == unit.symbols.end()) {
    symbol = std::find_if(unit.symbols.begin(), unit.symbols.end(),
                          [](const UnitWords::Symbol& one) { return one.shown_from != 0; });
  }
  std::string text = (count < 0 ? "-" : "") + std::to_string(size / symbol->count);
  if (const std::int64_t rest = size % symbol->count; rest != 0) {
    std::string fraction = std::to_string(symbol->count + rest);  // keeps the leading zeros behind a 1
    fraction.erase(fraction.find_last_not_of('0') + 1);
    text += "." + fraction.substr(1);
  }
  return symbol->text.empty() ? text : text + " " + std::string(symbol->text);
}

}  // namespace host::model
