#pragma once

#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace host::model {

/// A place in a text file; line and column count from 1, 0 means the file as a whole.
struct Place {
  int line = 0;
  int column = 0;
  friend bool operator==(const Place&, const Place&) = default;
};

/// What is wrong with a file, and what would be right.
struct FileError {
  enum class Kind { kMissing, kUnreadable, kMalformed };  // exits 66, 77, 65
  Kind kind = Kind::kMalformed;
  std::string path;
  Place place;
  std::string line_text;  // the line the place is in, cleaned of control characters; empty if none
  std::string what;       // "unknown key 'voltge' in [supply]"
  std::string remedy;     // "did you mean 'voltage'?"
};

/// All the errors of what was loaded, never just the first; never empty.
using FileErrors = std::vector<FileError>;

template <typename T>
using Loaded = tl::expected<T, FileErrors>;

/// "path:line:column: what; remedy", then the line and a caret below its column.
[[nodiscard]] std::string to_text(const FileError& error);

}  // namespace host::model
