#include "host/model/toml_shape.hpp"

#include <string_view>

namespace host::model {
namespace {

/// Where in a TOML text the scan stands.
enum class Within { kPlain, kComment, kText, kLiteral, kLongText, kLongLiteral };

class ShapeScan {
 public:
  explicit ShapeScan(const SourceFile& file) : file_(file), rest_(file.text) {
    if (rest_.starts_with("\xEF\xBB\xBF")) rest_.remove_prefix(3);
  }

  std::optional<FileError> run() {
    while (!rest_.empty()) {
      const std::size_t size = utf8_size(rest_);
      if (size == 0) return file_.error(place_, "has octets that are no UTF-8", "save the file as UTF-8");
      if (size > 1 && within_ == Within::kPlain) {
        return file_.error(place_,
                           "'" + clean(rest_.substr(0, size)) + "' can't stand outside a text or a comment",
                           "put the value in double quotes");
      }
      // From such a place the library would ask of characters beyond ASCII whether they are blanks, and what
      // it does then is undefined (toml++ 3.3, is_non_ascii_horizontal_whitespace). So too behind a backslash
      // in a long text.
      if (within_ == Within::kPlain && begins_inside_a_value()) {
        return file_.error(place_, "a text begins in the middle of a value",
                           "put the whole value in double quotes");
      }
      if (within_ == Within::kLongText && escapes_nothing()) {
        return file_.error(place_, "a backslash joins lines here, or stands alone",
                           "write the text in one line, and a backslash twice");
      }
      if (within_ == Within::kPlain && !plain(rest_[0])) {
        return file_.error(place_, "is nested deeper than " + std::to_string(kNestingMax),
                           "a catalogue file needs no more than a few tables in each other");
      }
      step(size);
    }
    return std::nullopt;
  }

 private:
  /// Follows brackets and dots; false when they go too deep.
  bool plain(char c) {
    if (c == '[' || c == '{') {
      dots_ = 0;
      return ++depth_ <= kNestingMax;
    }
    if (c == ']' || c == '}') {
      depth_ -= depth_ > 0 ? 1 : 0;
    } else if (c == '.') {
      return ++dots_ < kNestingMax;
    } else if (c == '=' || c == ',' || c == '\n') {
      dots_ = 0;
    }
    return true;
  }

  [[nodiscard]] bool begins_inside_a_value() const {
    return (rest_[0] == '"' || rest_[0] == '\'') &&
           std::string_view{" \t\r\n=.,[{"}.find(before_) == std::string_view::npos;
  }

  [[nodiscard]] bool escapes_nothing() const {
    if (rest_[0] != '\\' || rest_.size() < 2) return false;
    const char next = rest_[1];
    return std::string_view{" \t\r\n\v\f"}.find(next) != std::string_view::npos ||
           static_cast<unsigned char>(next) >= 0x80;
  }

  void step(std::size_t size) {
    const std::size_t taken = change(size);
    for (std::size_t n = 0; n < taken; ++n) {
      place_ = rest_[n] == '\n' ? Place{place_.line + 1, 1} : Place{place_.line, place_.column + 1};
    }
    if (size > 1) place_.column -= static_cast<int>(size) - 1;  // one character, however many octets
    before_ = rest_[taken - 1];
    rest_.remove_prefix(taken);
  }

  /// Enters or leaves texts and comments; how many octets that takes.
  std::size_t change(std::size_t size) {
    const char c = rest_[0];
    switch (within_) {
      case Within::kPlain:
        if (c == '#') within_ = Within::kComment;
        if (rest_.starts_with("\"\"\"")) return enter(Within::kLongText, 3);
        if (rest_.starts_with("'''")) return enter(Within::kLongLiteral, 3);
        if (c == '"') within_ = Within::kText;
        if (c == '\'') within_ = Within::kLiteral;
        return size;
      case Within::kComment:
        if (c == '\n') within_ = Within::kPlain;
        return size;
      case Within::kText:
        if (c == '\\' && rest_.size() > 1 && rest_[1] == '"') return 2;
        if (c == '\\' && rest_.size() > 1 && rest_[1] == '\\') return 2;
        if (c == '"' || c == '\n') within_ = Within::kPlain;
        return size;
      case Within::kLiteral:
        if (c == '\'' || c == '\n') within_ = Within::kPlain;
        return size;
      case Within::kLongText:
        if (c == '\\' && rest_.size() > 1 && (rest_[1] == '"' || rest_[1] == '\\')) return 2;
        return leave("\"\"\"", '"', size);
      case Within::kLongLiteral: return leave("'''", '\'', size);
    }
    return size;
  }

  std::size_t enter(Within within, std::size_t taken) {
    within_ = within;
    return taken;
  }

  /// A long text ends with the last three of up to five quotes.
  std::size_t leave(std::string_view end, char quote, std::size_t size) {
    if (!rest_.starts_with(end)) return size;
    within_ = Within::kPlain;
    std::size_t taken = 3;
    while (taken < 5 && taken < rest_.size() && rest_[taken] == quote) ++taken;
    return taken;
  }

  const SourceFile& file_;
  std::string_view rest_;
  Place place_{1, 1};
  char before_ = '\n';  // what was stepped over last
  Within within_ = Within::kPlain;
  int depth_ = 0;
  int dots_ = 0;
};

}  // namespace

std::optional<FileError> check_shape(const SourceFile& file) {
  return ShapeScan(file).run();
}

}  // namespace host::model
