#include <algorithm>
#include <array>

#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"

namespace host::model {
namespace {

// What a file says of itself: no figures of the part.
constexpr std::array<std::string_view, 7> kNoFigures = {"title",    "revision",   "status", "released_by",
                                                        "replaces", "taken_from", "sources"};

std::string joined(const std::string& before, std::string_view name) {
  return before.empty() ? std::string(name) : before + "." + std::string(name);
}

// Everything of a table that a source can be told for: its values, its tables, and the tables of a list by
// id.
void collect(const TomlNode& table, const std::string& before, std::vector<std::string>& paths) {
  for (const TomlNode& item : table.items) {
    if (before.empty() && std::ranges::find(kNoFigures, item.key) != kNoFigures.end()) continue;
    const std::string path = joined(before, item.key);
    if (item.kind != TomlNode::Kind::kList) paths.push_back(path);
    if (item.kind == TomlNode::Kind::kTable) collect(item, path, paths);
    if (item.kind != TomlNode::Kind::kList) continue;
    bool named = false;
    for (const TomlNode& one : item.items) {
      const TomlNode* id = one.kind == TomlNode::Kind::kTable ? one.find("id") : nullptr;
      if (id == nullptr || id->kind != TomlNode::Kind::kText) continue;
      named = true;
      const std::string inside = joined(path, id->text);
      paths.push_back(inside);
      collect(one, inside, paths);
    }
    if (!named) paths.push_back(path);
  }
}

class Reader {
 public:
  Reader(TableReader& file, About& about) : file_(file), about_(about) { collect(file.node(), "", paths_); }

  // A key with points in it may be written in quotes or without.
  void read(const TomlNode& table, const std::string& before) {
    for (const TomlNode& item : table.items) {
      const std::string path = joined(before, item.key);
      if (item.kind == TomlNode::Kind::kTable) {
        read(item, path);
      } else if (item.kind != TomlNode::Kind::kText || item.text.empty()) {
        file_.complaints().add(item.place,
                               "'" + path + "' expects a source, such as \"slate data sheet, 1.3, page 12\"");
      } else {
        add(item, path);
      }
    }
  }

  [[nodiscard]] Canonical take() { return std::move(canonical_); }

 private:
  void add(const TomlNode& item, const std::string& path) {
    if (std::ranges::find(paths_, path) == paths_.end()) {
      const auto meant = nearest(path, paths_);
      file_.complaints().add(
          item.key_place, "no figure of this file is called '" + path + "'",
          meant ? "did you mean '" + *meant + "'?"
                : "name a key of this file with the tables it stands in, as in supply.voltage");
      return;
    }
    about_.sources[path] = item.text;
    canonical_.add(path, Canonical::of(item.text));
  }

  TableReader& file_;
  About& about_;
  std::vector<std::string> paths_;
  Canonical canonical_;
};

}  // namespace

void read_sources(TableReader& table, About& about) {
  const TomlNode* sources = table.take("sources", false);
  if (sources == nullptr) return;
  if (sources->kind != TomlNode::Kind::kTable) {
    table.complain("sources", "is no table",
                   "write [sources] and below it \"supply.voltage\" = \"document, page\"");
    return;
  }
  Reader reader(table, about);
  reader.read(*sources, "");
  table.keep("sources", reader.take());
}

const std::string* own_source(const About& about, std::string_view path) {
  while (true) {
    if (const auto found = about.sources.find(path); found != about.sources.end()) return &found->second;
    const std::size_t point = path.rfind('.');
    if (point == std::string_view::npos) return nullptr;
    path = path.substr(0, point);
  }
}

std::string cited(const About& about, std::initializer_list<std::string_view> paths) {
  std::vector<std::string_view> told;
  for (const std::string_view path : paths) {
    const std::string* source = own_source(about, path);
    if (source != nullptr && std::ranges::find(told, *source) == told.end()) told.push_back(*source);
  }
  std::string text = about.id;
  for (const std::string_view source : told)
    text += (text.size() == about.id.size() ? ": " : "; ") + std::string(source);
  return text;
}

}  // namespace host::model
