#include "host/model/table_reader.hpp"

#include <algorithm>
#include <tuple>

#include "host/model/nearest.hpp"

namespace host::model {
namespace {

std::string quoted(std::string_view text) {
  return "'" + std::string(text) + "'";
}

std::string got(const TomlNode& node) {
  if (node.kind == TomlNode::Kind::kText) return ", got " + quoted(node.text);
  if (node.kind == TomlNode::Kind::kWhole) return ", got " + std::to_string(node.whole);
  return ", got " + std::string(kind_text(node));
}

bool is_id(std::string_view text) {
  return !text.empty() && text[0] != '-' && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  });
}

}  // namespace

void Complaints::add(Place place, std::string what, std::string remedy) {
  ++count_;
  if (errors_.size() < kMost) errors_.push_back(file_.error(place, std::move(what), std::move(remedy)));
}

FileErrors Complaints::take() {
  std::sort(errors_.begin(), errors_.end(), [](const FileError& a, const FileError& b) {
    return std::tie(a.place.line, a.place.column, a.what) < std::tie(b.place.line, b.place.column, b.what);
  });
  const std::size_t untold = std::exchange(count_, 0) - errors_.size();
  if (untold > 0) {
    const Place last = errors_.back().place;
    errors_.push_back(file_.error(last, std::to_string(untold) + " more errors are not told here",
                                  "mend those above first, or look whether this is the file that was meant"));
  }
  return std::exchange(errors_, {});
}

Place TableReader::place_of(std::string_view key) const {
  const TomlNode* node = table_.find(key);
  return node != nullptr ? node->place : table_.place;
}

void TableReader::complain(std::string_view key, const std::string& what, std::string remedy) {
  complaints_.add(place_of(key), quoted(key) + " " + what, std::move(remedy));
}

const TomlNode* TableReader::take(std::string_view key, bool required) {
  taken_.emplace(key);
  const TomlNode* node = table_.find(key);
  if (node == nullptr && required) {
    complaints_.add(table_.place, "missing key " + quoted(key) + " in " + name_, "add it");
  }
  return node;
}

const TomlNode* TableReader::take_text(std::string_view key, std::string_view expected, bool required) {
  const TomlNode* node = take(key, required);
  if (node == nullptr || (node->kind == TomlNode::Kind::kText && !node->text.empty())) return node;
  complain(key, "expects " + std::string(expected) + " in double quotes" + got(*node));
  return nullptr;
}

void TableReader::text(std::string_view key, std::string& target, bool required) {
  const TomlNode* node = take_text(key, "a text", required);
  if (node == nullptr) return;
  target = node->text;
  keep(key, Canonical::of(target));
}

void TableReader::must_id(std::string_view key, std::string& target) {
  const TomlNode* node = take_text(key, "an id", true);
  if (node == nullptr) return;
  if (!is_id(node->text)) {
    complain(key, "expects an id of letters, digits, '-' and '_'" + got(*node));
    return;
  }
  target = node->text;
  keep(key, Canonical::of(target));
}

void TableReader::may(std::string_view key, bool& target) {
  const TomlNode* node = take(key, false);
  if (node == nullptr) return;
  if (node->kind != TomlNode::Kind::kTruth) {
    complain(key, "expects true or false without quotes" + got(*node));
    return;
  }
  target = node->truth;
  keep(key, Canonical::of(target));
}

void TableReader::whole(std::string_view key, int& target, int min, int max, bool required) {
  const TomlNode* node = take(key, required);
  if (node == nullptr) return;
  if (node->kind != TomlNode::Kind::kWhole || node->whole < min || node->whole > max) {
    complain(key, "expects a whole number from " + std::to_string(min) + " to " + std::to_string(max) +
                      got(*node));
    return;
  }
  target = static_cast<int>(node->whole);
  keep(key, Canonical::of(node->whole));
}

std::optional<std::size_t> TableReader::word(std::string_view key, std::span<const std::string_view> words,
                                             bool required) {
  const TomlNode* node = take(key, required);
  if (node == nullptr) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), node->text);
  if (node->kind != TomlNode::Kind::kText || found == words.end()) {
    complain(key, "expects one of the words it knows" + got(*node),
             nearest_hint(node->text, words, "the words"));
    return std::nullopt;
  }
  keep(key, Canonical::of(node->text));
  return static_cast<std::size_t>(found - words.begin());
}

bool TableReader::within(std::string_view key, std::int64_t value, const UnitWords& unit, Rules rules) {
  if (value >= rules.min && value <= rules.max) return true;
  std::string what = "must ";
  if (rules.max == std::numeric_limits<std::int64_t>::max()) {
    what += rules.min == 1 ? "be above zero" : "be at least " + count_to_text(rules.min, unit);
  } else {
    what += "be from " + count_to_text(std::max<std::int64_t>(rules.min, 0), unit) + " to " +
            count_to_text(rules.max, unit);
  }
  complain(key, what + ", got " + count_to_text(value, unit));
  return false;
}

bool TableReader::count(std::string_view key, std::int64_t& target, const UnitWords& unit, Rules rules,
                        bool required) {
  const std::string expected = std::string(unit.noun) + " such as " + quoted(unit.example);
  const TomlNode* node = take_text(key, expected, required);
  if (node == nullptr) return false;
  const auto value = parse_count(node->text, unit);
  if (!value) complain(key, value.error());
  if (!value || !within(key, *value, unit, rules)) return false;
  target = *value;
  keep(key, Canonical::of(target));
  return true;
}

void TableReader::tolerance(std::string_view key, std::int64_t& target, const UnitWords& unit, Rules rules,
                            bool required) {
  const TomlNode* node =
      take_text(key, std::string(unit.noun) + " such as '±" + std::string(unit.example) + "'", required);
  if (node == nullptr) return;
  const auto value = parse_tolerance(node->text, unit);
  if (!value) complain(key, value.error());
  if (!value || !within(key, *value, unit, rules)) return;
  target = *value;
  keep(key, Canonical::of(target));
}

void TableReader::pair(std::string_view key, char separator, std::int64_t& first, std::int64_t& second,
                       const UnitWords& unit, Rules rules) {
  const TomlNode* node = take_text(key, "two numbers", true);
  if (node == nullptr) return;
  const auto value = parse_pair(node->text, separator, unit);
  if (!value) complain(key, value.error());
  if (!value || !within(key, value->first, unit, rules) || !within(key, value->second, unit, rules)) return;
  std::tie(first, second) = *value;
  Canonical both = Canonical::list();
  both.add(Canonical::of(first));
  both.add(Canonical::of(second));
  keep(key, std::move(both));
}

std::optional<Bounds<std::int64_t>> TableReader::limits(std::string_view key, const UnitWords& unit,
                                                        Rules rules, bool required) {
  const std::string expected = std::string(unit.noun) + " such as " + quoted(unit.limits_example);
  const TomlNode* node = take_text(key, expected, required);
  if (node == nullptr) return std::nullopt;
  const auto value = parse_limits(node->text, unit);
  if (!value) {
    complain(key, value.error());
    return std::nullopt;
  }
  if (rules.needs == Needs::kWindow && (!value->min || !value->max)) {
    complain(key, "expects limits both ways such as " + quoted(unit.limits_example) + ", got " +
                      quoted(node->text));
    return std::nullopt;
  }
  Canonical canonical;
  const std::pair<const char*, std::optional<std::int64_t>> named[] = {
      {"min", value->min}, {"nominal", value->nominal}, {"max", value->max}};
  for (const auto& [name, bound] : named) {
    if (!bound) continue;
    if (!within(key, *bound, unit, rules)) return std::nullopt;
    canonical.add(name, Canonical::of(*bound));
  }
  keep(key, std::move(canonical));
  return *value;
}

bool TableReader::table(std::string_view key, const Read& read, bool required) {
  const TomlNode* node = take(key, required);
  if (node == nullptr) return false;
  if (node->kind != TomlNode::Kind::kTable) {
    complain(key, "expects a table, [" + std::string(key) + "] or { … }" + got(*node));
    return false;
  }
  TableReader inner(*node, "[" + std::string(key) + "]", complaints_);
  read(inner);
  keep(key, inner.finish());
  return true;
}

void TableReader::tables(std::string_view key, const Read& read, bool required) {
  const TomlNode* node = take(key, required);
  if (node == nullptr) return;
  if (node->kind != TomlNode::Kind::kList || (required && node->items.empty())) {
    complain(key, "expects one [[" + std::string(key) + "]] or more" + got(*node));
    return;
  }
  Canonical list = Canonical::list();
  for (const TomlNode& item : node->items) {
    if (item.kind != TomlNode::Kind::kTable) {
      complaints_.add(item.place, quoted(key) + " expects tables" + got(item));
      continue;
    }
    TableReader inner(item, "[[" + std::string(key) + "]]", complaints_);
    read(inner);
    list.add(inner.finish());
  }
  keep(key, std::move(list));
}

std::vector<std::pair<std::string, Place>> TableReader::texts(std::string_view key, bool required) {
  std::vector<std::pair<std::string, Place>> found;
  const TomlNode* node = take(key, required);
  if (node == nullptr) return found;
  const bool list = node->kind == TomlNode::Kind::kList;
  const std::span<const TomlNode> items =
      list ? std::span<const TomlNode>(node->items) : std::span<const TomlNode>(node, 1);
  Canonical canonical = Canonical::list();
  for (const TomlNode& item : items) {
    if (item.kind != TomlNode::Kind::kText || item.text.empty()) {
      complaints_.add(item.place, quoted(key) + " expects texts in double quotes" + got(item));
      continue;
    }
    found.emplace_back(item.text, item.place);
    canonical.add(Canonical::of(item.text));
  }
  keep(key, std::move(canonical));
  return found;
}

Canonical TableReader::finish() {
  std::vector<std::string_view> known(taken_.begin(), taken_.end());
  std::vector<std::string_view> free;
  std::copy_if(known.begin(), known.end(), std::back_inserter(free),
               [&](std::string_view key) { return !has(key); });
  for (const TomlNode& item : table_.items) {
    if (taken_.contains(item.key)) continue;
    const auto meant = nearest(item.key, free);
    complaints_.add(item.key_place, "unknown key " + quoted(item.key) + " in " + name_,
                    meant ? "did you mean " + quoted(*meant) + "?" : nearest_hint("", known, "keys here"));
  }
  return std::move(canonical_);
}

}  // namespace host::model
