#include "host/model/error.hpp"

#include "host/model/source_file.hpp"

namespace host::model {
namespace {

constexpr int kLineWidthMax = 100;  // characters of a line that are shown

/// The part of a long line round a column, and where that column then stands.
std::pair<std::string, int> excerpt(const std::string& line, int column) {
  std::vector<std::string_view> characters;
  for (std::string_view rest = line; !rest.empty();) {
    const std::size_t size = utf8_size(rest) == 0 ? 1 : utf8_size(rest);
    characters.push_back(rest.substr(0, size));
    rest.remove_prefix(size);
  }
  const int count = static_cast<int>(characters.size());
  const int first = column > kLineWidthMax ? column - kLineWidthMax / 2 : 1;
  std::string shown = first > 1 ? "…" : "";
  for (int n = first; n <= count && n < first + kLineWidthMax; ++n) {
    shown += characters[static_cast<std::size_t>(n - 1)];
  }
  if (first + kLineWidthMax <= count) shown += "…";
  return {shown, column - first + (first > 1 ? 2 : 1)};
}

}  // namespace

std::string to_text(const FileError& error) {
  std::string text = clean(error.path);
  if (error.place.line > 0) {
    text += ":" + std::to_string(error.place.line);
    if (error.place.column > 0) text += ":" + std::to_string(error.place.column);
  }
  text += ": " + error.what;
  if (!error.remedy.empty()) text += "; " + error.remedy;
  if (!error.line_text.empty() && error.place.column > 0) {
    const auto [line, column] = excerpt(error.line_text, error.place.column);
    text += "\n  " + line + "\n  " + std::string(static_cast<std::size_t>(column - 1), ' ') + "^";
  }
  return text;
}

}  // namespace host::model
