#pragma once

#include <string>
#include <string_view>

#include "host/report/document.hpp"

namespace host::report {

/// How text becomes visible in one style: safe characters, marks, colour.
class Ink {
 public:
  explicit Ink(const TextStyle& style) : style_{style} {}

  [[nodiscard]] int width() const { return style_.width; }
  [[nodiscard]] bool ascii() const { return style_.ascii; }

  /// `text` cleaned, and spelled with 7-bit characters where the style asks for it.
  [[nodiscard]] std::string plain(std::string_view text) const;

  /// `text` in the colour of `tone`, when there is colour. Takes and adds no columns.
  [[nodiscard]] std::string toned(std::string_view text, Tone tone) const;

  /// `text` made to stand out, when there is colour.
  [[nodiscard]] std::string strong(std::string_view text) const;

 private:
  TextStyle style_;
};

/// The word of a tone: "DANGER", "FAULT", "warning", "note", "ok"; nothing for plain.
[[nodiscard]] std::string_view word_of(Tone tone);

}  // namespace host::report
