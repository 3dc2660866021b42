#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "host/model/error.hpp"
#include "host/model/source_file.hpp"

namespace host::model {

/// What a TOML file holds, with the place of everything. The TOML library stays behind this.
struct TomlNode {
  enum class Kind { kText, kWhole, kTruth, kList, kTable, kOther };
  Kind kind = Kind::kTable;
  Place place;
  std::string key;  // of a member of a table
  Place key_place;
  std::string text;  // kText; for kOther what it is: "a number with a point"
  std::int64_t whole = 0;
  bool truth = false;
  std::vector<TomlNode> items;  // of a list, or members of a table in the order of their keys

  [[nodiscard]] const TomlNode* find(std::string_view name) const;  // nullptr when there is none
};

/// "a text", "a whole number", "a list" …
[[nodiscard]] std::string_view kind_text(const TomlNode& node);

/// Parses a file. Everything about it that is not TOML, or beyond the limits of source_file.hpp, is an
/// error; a syntax error hides what follows it.
[[nodiscard]] Loaded<TomlNode> parse_toml(const SourceFile& file);

}  // namespace host::model
