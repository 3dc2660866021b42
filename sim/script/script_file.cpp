#include <algorithm>

#include "host/model/nearest.hpp"
#include "host/model/table_reader.hpp"
#include "protocol/points/words.hpp"
#include "sim/eye/words.hpp"
#include "sim/script/script.hpp"

namespace sim::script {
namespace {

namespace model = host::model;
namespace points = protocol::points;
using model::TableReader;
using model::TomlNode;
using protocol::base::Instant;

constexpr int kUnitsMax = 100'000;

constexpr std::array<model::Word<points::Unread>, 3> kUnread{{{"not-fitted", points::Unread::kNotFitted},
                                                              {"asleep", points::Unread::kAsleep},
                                                              {"no-edges", points::Unread::kNoEdges}}};

Instant read_time(TableReader& table, std::string_view key) {
  model::Microseconds time;
  table.must(key, time, model::kFromZero);
  return Instant{} + protocol::base::Duration{time.count};
}

std::optional<Act> read_act(TableReader& table) {
  std::optional<Act> act;
  for (std::size_t i = 0; i < verb_words().size(); ++i) {
    const auto verb = static_cast<Verb>(i);
    const std::string_view key = verb_words()[i].name;
    if (!table.has(key)) {
      (void)table.take(key, false);  // so that hints name it
      continue;
    }
    if (act)
      table.complain(
          key,
          "an event does one thing, and this one does " + std::string{words_of(act->verb).name} + " already",
          "write another [[event]]");
    Act one{verb, {}};
    if (words_of(verb).argument.empty()) {
      bool truth = false;
      table.may(key, truth);
      if (!truth) table.complain(key, "'" + std::string{key} + "' can only be true");
    } else {
      table.must(key, one.argument);
    }
    if (!act) act = one;
  }
  return act;
}

void read_event(TableReader& table, std::vector<Entry>& entries) {
  Entry entry;
  entry.place = table.place();
  entry.at = read_time(table, "at");
  table.may_whole("unit", entry.unit, 1, kUnitsMax);
  const auto act = read_act(table);
  if (!act) {
    std::string verbs;
    for (const VerbWords& words : verb_words()) verbs.append(verbs.empty() ? "" : ", ").append(words.name);
    table.complaints().add(table.place(), "the event does nothing", "give it one of " + verbs);
    return;
  }
  entry.place = table.place_of(words_of(act->verb).name);
  entry.what = *act;
  entries.push_back(std::move(entry));
}

void read_whole(TableReader& table, std::string_view key, std::optional<std::int64_t>& target) {
  const TomlNode* const node = table.take(key, false);
  if (node == nullptr) return;
  if (node->kind == TomlNode::Kind::kWhole) {
    target = node->whole;
  } else {
    table.complain(key, "'" + std::string{key} + "' is a whole number in the point's unit");
  }
}

PointWish read_point(TableReader& table) {
  PointWish wish;
  std::string name;
  table.must("point", name);
  const auto point = points::find(name);
  if (point) {
    wish.point = *point;
  } else if (!name.empty()) {
    std::vector<std::string_view> names;
    for (const points::Words& words : points::all_words()) names.push_back(words.name);
    const auto near = model::nearest(name, names);
    table.complain("point", "there is no point '" + name + "'",
                   near ? "did you mean '" + *near + "'?" : "protocol/points/REGISTERS.md lists them");
  }
  read_whole(table, "min", wish.min);
  read_whole(table, "max", wish.max);
  if (const TomlNode* const is = table.take("is", false); is != nullptr) {
    if (is->kind == TomlNode::Kind::kWhole) {
      wish.min = wish.max = is->whole;
    } else if (is->kind == TomlNode::Kind::kText) {
      wish.text = is->text;
    } else {
      table.complain("is", "'is' is a whole number in the point's unit, or a text");
    }
  }
  if (table.has("unread")) {
    points::Unread why{};
    table.must("unread", why, std::span<const model::Word<points::Unread>>{kUnread});
    wish.why = why;
  }
  if (point && wish.text && !points::words(*point).choices.empty()) {
    const auto choices = points::words(*point).choices;
    if (std::find(choices.begin(), choices.end(), *wish.text) == choices.end()) {
      table.complain("is", "'" + name + "' is never \"" + *wish.text + "\"",
                     model::nearest_hint(*wish.text, choices, "it is"));
    }
  }
  if (!wish.min && !wish.max && !wish.text && !wish.why) {
    table.complain("point", "nothing is expected of the point", "add is, min, max or unread");
  }
  return wish;
}

EyeWish read_eye(TableReader& table) {
  EyeWish wish;
  const auto word = [&](std::string_view key, std::span<const std::string_view> words,
                        std::optional<std::string>& target) {
    if (!table.has(key)) {
      (void)table.take(key, false);
      return;
    }
    std::string text;
    table.must_one_of(key, text, words);
    target = text;
  };
  word("screen", eye::screen_words(), wish.screen);
  word("when", eye::when_words(), wish.when);
  if (table.has("look")) {
    wish.look.emplace();
    const TomlNode* const node = table.node().find("look");
    const bool none = node->kind == TomlNode::Kind::kList && node->items.empty();
    if (none) (void)table.take("look", false);
    if (!none) {
      for (const auto& [text, place] : table.texts("look", true)) {
        if (std::find(eye::look_words().begin(), eye::look_words().end(), text) == eye::look_words().end()) {
          table.complaints().add(place, "'" + text + "' is no look",
                                 model::nearest_hint(text, eye::look_words(), "looks"));
        }
        wish.look->push_back(text);
      }
      std::sort(wish.look->begin(), wish.look->end());
    }
  } else {
    (void)table.take("look", false);
  }
  return wish;
}

void read_expect(TableReader& table, std::vector<Entry>& entries) {
  Entry entry;
  entry.place = table.place();
  entry.at = read_time(table, "at");
  table.may_whole("unit", entry.unit, 1, kUnitsMax);
  if (table.has("point")) {
    entry.place = table.place_of("point");
    entry.what = read_point(table);
  } else if (table.has("screen") || table.has("look") || table.has("when")) {
    for (const std::string_view key : {"screen", "look", "when"}) {
      if (table.has(key)) entry.place = table.place_of(key);
    }
    entry.what = read_eye(table);
  } else {
    (void)table.take("point", false);
    (void)read_eye(table);
    table.complaints().add(table.place(), "nothing is expected", "name a point, or screen, look or when");
    return;
  }
  entries.push_back(std::move(entry));
}

}  // namespace

model::Loaded<Script> parse_script(model::SourceFile file) {
  Script script;
  script.file = std::move(file);
  const auto root = model::parse_toml(script.file);
  if (!root) return tl::unexpected(root.error());
  model::Complaints complaints{script.file};
  TableReader table{*root, "the script", complaints};
  table.may("title", script.title);
  table.may_tables("event", [&](TableReader& one) { read_event(one, script.entries); });
  table.may_tables("expect", [&](TableReader& one) { read_expect(one, script.entries); });
  if (table.has("end")) {
    script.end = read_time(table, "end");
  } else {
    (void)table.take("end", false);
  }
  (void)table.finish();
  std::stable_sort(script.entries.begin(), script.entries.end(), [](const Entry& a, const Entry& b) {
    const auto looks = [](const Entry& entry) { return !std::holds_alternative<Act>(entry.what); };
    return a.at != b.at ? a.at < b.at : looks(a) < looks(b);
  });
  if (script.entries.empty() && complaints.empty()) {
    complaints.add({}, "the script does nothing", "write [[event]] and [[expect]]");
  }
  if (!complaints.empty()) return tl::unexpected(complaints.take());
  if (!script.entries.empty()) script.end = std::max(script.end, script.entries.back().at);
  return script;
}

model::Loaded<Script> load_script(const std::string& path) {
  auto file = model::read_source(path);
  if (!file) return tl::unexpected(file.error());
  return parse_script(*std::move(file));
}

}  // namespace sim::script
