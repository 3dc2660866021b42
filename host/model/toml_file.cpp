#include "host/model/toml_file.hpp"

#include <algorithm>

#include "host/model/toml_shape.hpp"

// The library asserts on text that a file may well hold; what it would have asserted comes back as an error.
#define TOML_ASSERT(expr) ((void)0)
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <toml++/toml.h>

namespace host::model {
namespace {

Place place_of(const toml::source_region& source) {
  return {static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

/// Turns the library's tree into ours, and holds it against the limits.
class Conversion {
 public:
  explicit Conversion(const SourceFile& file) : file_(file) {}

  TomlNode convert(const toml::node& from, int depth) {
    TomlNode node;
    node.place = place_of(from.source());
    if (depth > kNestingMax) {
      complain(node.place, "is nested deeper than " + std::to_string(kNestingMax),
               "a catalogue file needs no more than a few tables in each other");
      return node;
    }
    if (const auto* table = from.as_table()) {
      members(*table, node, depth);
    } else if (const auto* list = from.as_array()) {
      node.kind = TomlNode::Kind::kList;
      for (const auto& item : *list) node.items.push_back(convert(item, depth + 1));
    } else {
      scalar(from, node);
    }
    return node;
  }

  FileErrors errors;

 private:
  void members(const toml::table& table, TomlNode& node, int depth) {
    for (const auto& [key, value] : table) {
      TomlNode member = convert(value, depth + 1);
      member.key = std::string(key.str());
      member.key_place = place_of(key.source());
      short_enough(member.key, member.key_place);
      node.items.push_back(std::move(member));
    }
  }

  void scalar(const toml::node& from, TomlNode& node) {
    if (const auto* text = from.as_string()) {
      node.kind = TomlNode::Kind::kText;
      node.text = text->get();
      short_enough(node.text, node.place);
      return;
    }
    if (const auto* whole = from.as_integer()) {
      node.kind = TomlNode::Kind::kWhole;
      node.whole = whole->get();
      return;
    }
    if (const auto* truth = from.as_boolean()) {
      node.kind = TomlNode::Kind::kTruth;
      node.truth = truth->get();
      return;
    }
    node.kind = TomlNode::Kind::kOther;
    node.text = from.is_floating_point() ? "a number with a point" : "a date or a time";
  }

  void short_enough(const std::string& text, Place place) {
    if (text.size() > kTextSizeMax) {
      complain(place, "is longer than " + std::to_string(kTextSizeMax) + " octets", "shorten it");
    }
    if (clean(text) != text) {
      complain(place, "holds control characters or broken characters", "write it in plain characters");
    }
  }

  void complain(Place place, std::string what, std::string remedy) {
    errors.push_back(file_.error(place, std::move(what), std::move(remedy)));
  }

  const SourceFile& file_;
};

}  // namespace

const TomlNode* TomlNode::find(std::string_view name) const {
  const auto found =
      std::find_if(items.begin(), items.end(), [&](const TomlNode& item) { return item.key == name; });
  return kind == Kind::kTable && found != items.end() ? &*found : nullptr;
}

std::string_view kind_text(const TomlNode& node) {
  switch (node.kind) {
    case TomlNode::Kind::kText: return "a text";
    case TomlNode::Kind::kWhole: return "a whole number";
    case TomlNode::Kind::kTruth: return "true or false";
    case TomlNode::Kind::kList: return "a list";
    case TomlNode::Kind::kTable: return "a table";
    case TomlNode::Kind::kOther: return node.text;
  }
  return "a value";
}

Loaded<TomlNode> parse_toml(const SourceFile& file) {
  if (auto error = check_shape(file)) return tl::unexpected(FileErrors{std::move(*error)});
  const toml::parse_result result = toml::parse(std::string_view(file.text), std::string_view(file.path));
  if (!result) {
    return tl::unexpected(FileErrors{file.error(place_of(result.error().source()),
                                                "is not TOML: " + clean(result.error().description()),
                                                "write KEY = VALUE, texts and quantities in double quotes")});
  }
  Conversion conversion(file);
  TomlNode root = conversion.convert(result.table(), 0);
  if (!conversion.errors.empty()) return tl::unexpected(std::move(conversion.errors));
  return root;
}

}  // namespace host::model
