#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "host/model/canonical.hpp"
#include "host/model/quantity_text.hpp"
#include "host/model/toml_file.hpp"

namespace host::model {

/// Errors of one file as they are found: each is counted, the first hundred are told.
class Complaints {
 public:
  static constexpr std::size_t kMost = 100;

  explicit Complaints(const SourceFile& file) : file_(file) {}

  void add(Place place, std::string what, std::string remedy = {});
  [[nodiscard]] bool empty() const { return count_ == 0; }
  [[nodiscard]] std::size_t count() const { return count_; }

  /// Those that are told in the order of the file, and at the end how many there are beside them.
  [[nodiscard]] FileErrors take();

 private:
  const SourceFile& file_;
  FileErrors errors_;
  std::size_t count_ = 0;
};

/// Which limits a data sheet must print.
enum class Needs { kAny, kWindow };  // kWindow: min and max

/// What a value must keep to, in the quantity's own unit.
struct Rules {
  std::int64_t min = std::numeric_limits<std::int64_t>::min();
  std::int64_t max = std::numeric_limits<std::int64_t>::max();
  Needs needs = Needs::kAny;
};

/// Zero and up; the usual rule for a quantity is above zero.
inline constexpr Rules kFromZero{.min = 0};
/// A share of a whole.
inline constexpr Rules kUpToWhole{.min = 0, .max = 1'000'000};
/// Limits of which min and max must stand there, above zero.
inline constexpr Rules kWholeWindow{.min = 1, .needs = Needs::kWindow};

/// One word of a closed list and what it stands for.
template <typename E>
struct Word {
  std::string_view text;
  E value;
};

/// Reads one table of a file key by key. What is wrong is complained of and the target left as it was;
/// reading goes on, so that all errors come at once. A key that nobody asked for is an error when the table
/// is finished.
class TableReader {
 public:
  TableReader(const TomlNode& table, std::string name, Complaints& complaints)
      : table_(table), name_(std::move(name)), complaints_(complaints) {}

  /// Texts. Never empty.
  void must(std::string_view key, std::string& target) { text(key, target, true); }
  void may(std::string_view key, std::string& target) { text(key, target, false); }
  /// A text that must be an id: letters, digits, '-' and '_'.
  void must_id(std::string_view key, std::string& target);

  void may(std::string_view key, bool& target);
  void must_whole(std::string_view key, int& target, int min, int max) { whole(key, target, min, max, true); }
  void may_whole(std::string_view key, int& target, int min, int max) { whole(key, target, min, max, false); }

  /// One word of a closed list.
  template <typename E>
  void must(std::string_view key, E& target, std::span<const Word<E>> words) {
    word(key, target, words, true);
  }
  template <typename E>
  void may(std::string_view key, E& target, std::span<const Word<E>> words) {
    word(key, target, words, false);
  }

  /// One word of a closed list, kept as it is.
  void must_one_of(std::string_view key, std::string& target, std::span<const std::string_view> words) {
    if (const auto n = word(key, words, true)) target = words[*n];
  }

  template <typename Unit>
  void must(std::string_view key, Quantity<Unit>& target, Rules rules = {.min = 1}) {
    count(key, target.count, unit_words<Unit>(), rules, true);
  }
  template <typename Unit>
  bool may(std::string_view key, Quantity<Unit>& target, Rules rules = {.min = 1}) {
    return count(key, target.count, unit_words<Unit>(), rules, false);
  }
  template <typename Unit>
  void may(std::string_view key, std::optional<Quantity<Unit>>& target, Rules rules = {.min = 1}) {
    if (Quantity<Unit> value; may(key, value, rules)) target = value;
  }
  template <typename Unit>
  void must(std::string_view key, Bounds<Quantity<Unit>>& target, Rules rules = {.min = 1}) {
    limits(key, target, rules, true);
  }
  template <typename Unit>
  void may(std::string_view key, Bounds<Quantity<Unit>>& target, Rules rules = {.min = 1}) {
    limits(key, target, rules, false);
  }
  /// "±1.5 %".
  template <typename Unit>
  void must_tolerance(std::string_view key, Quantity<Unit>& target, Rules rules) {
    tolerance(key, target.count, unit_words<Unit>(), rules, true);
  }
  /// "1920 x 360", "41.5, 18.0 mm".
  template <typename Unit>
  void must_pair(std::string_view key, char separator, Quantity<Unit>& first, Quantity<Unit>& second,
                 Rules rules) {
    pair(key, separator, first.count, second.count, unit_words<Unit>(), rules);
  }

  /// A table in this one.
  using Read = std::function<void(TableReader&)>;
  void must_table(std::string_view key, const Read& read) { table(key, read, true); }
  bool may_table(std::string_view key, const Read& read) { return table(key, read, false); }
  /// A list of tables; `read` is called for each. At least one when it must be there.
  void must_tables(std::string_view key, const Read& read) { tables(key, read, true); }
  void may_tables(std::string_view key, const Read& read) { tables(key, read, false); }
  /// A list of texts, or one text alone.
  [[nodiscard]] std::vector<std::pair<std::string, Place>> texts(std::string_view key, bool required);

  /// For what has a form of its own: the value, marked as taken; nullptr when it isn't there, which is
  /// complained of if it is required. Whoever takes it adds what it means by keep().
  [[nodiscard]] const TomlNode* take(std::string_view key, bool required);
  void keep(std::string_view key, Canonical value) { canonical_.add(std::string(key), std::move(value)); }

  [[nodiscard]] bool has(std::string_view key) const { return table_.find(key) != nullptr; }
  /// Of the value of a key, or of the table when it has no such key.
  [[nodiscard]] Place place_of(std::string_view key) const;
  [[nodiscard]] Place place() const { return table_.place; }
  [[nodiscard]] const TomlNode& node() const { return table_; }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] Complaints& complaints() { return complaints_; }

  /// Complains of what stands under a key.
  void complain(std::string_view key, const std::string& what, std::string remedy = {});

  /// Complains of every key that nobody asked for; gives what the table said.
  Canonical finish();

 private:
  void text(std::string_view key, std::string& target, bool required);
  void whole(std::string_view key, int& target, int min, int max, bool required);
  bool table(std::string_view key, const Read& read, bool required);
  void tables(std::string_view key, const Read& read, bool required);
  bool count(std::string_view key, std::int64_t& target, const UnitWords& unit, Rules rules, bool required);
  void tolerance(std::string_view key, std::int64_t& target, const UnitWords& unit, Rules rules,
                 bool required);
  void pair(std::string_view key, char separator, std::int64_t& first, std::int64_t& second,
            const UnitWords& unit, Rules rules);
  std::optional<Bounds<std::int64_t>> limits(std::string_view key, const UnitWords& unit, Rules rules,
                                             bool required);
  std::optional<std::size_t> word(std::string_view key, std::span<const std::string_view> words,
                                  bool required);
  bool within(std::string_view key, std::int64_t value, const UnitWords& unit, Rules rules);
  /// The text under a key, marked as taken; complains of anything else, `expected` saying what of.
  const TomlNode* take_text(std::string_view key, std::string_view expected, bool required);

  template <typename Unit>
  void limits(std::string_view key, Bounds<Quantity<Unit>>& target, Rules rules, bool required) {
    const auto found = limits(key, unit_words<Unit>(), rules, required);
    if (!found) return;
    const auto as_quantity = [](const std::optional<std::int64_t>& value) {
      return value ? std::optional(Quantity<Unit>{*value}) : std::nullopt;
    };
    target = {as_quantity(found->min), as_quantity(found->nominal), as_quantity(found->max)};
  }
  template <typename E>
  void word(std::string_view key, E& target, std::span<const Word<E>> words, bool required) {
    std::vector<std::string_view> texts;
    texts.reserve(words.size());
    for (const auto& one : words) texts.push_back(one.text);
    if (const auto n = word(key, texts, required)) target = words[*n].value;
  }

  const TomlNode& table_;
  std::string name_;
  Complaints& complaints_;
  std::set<std::string, std::less<>> taken_;
  Canonical canonical_;
};

/// The word that stands for a value.
template <typename E>
[[nodiscard]] std::string_view word_of(E value, std::span<const Word<E>> words) {
  for (const auto& word : words) {
    if (word.value == value) return word.text;
  }
  return words.front().text;
}

}  // namespace host::model
