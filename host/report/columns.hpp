#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace host::report {

/// One character at the front of a text, as UTF-8.
struct Character {
  char32_t code = 0;
  std::size_t octets = 1;  // 1 for an invalid octet, so that a caller always moves on
  bool valid = false;
};

/// Decodes the first character. Precondition: `text` isn't empty. Overlong forms, surrogates, code points
/// above U+10FFFF and truncated sequences are invalid. Source  RFC 3629, 4.
[[nodiscard]] Character first_character(std::string_view text);

/// Columns that `text` takes on a terminal: wide characters two, combining marks none, an invalid octet one.
[[nodiscard]] int columns_of(std::string_view text);

/// `text` with spaces behind it up to `columns`; unchanged when it is as wide or wider.
[[nodiscard]] std::string padded(std::string_view text, int columns);

/// `text` broken at spaces into lines of at most `columns`; a word that is wider alone is broken where it
/// must be. Runs of spaces become one. Never empty: an empty text is one empty line.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, int columns);

/// Columns of the widest word of `text`.
[[nodiscard]] int widest_word(std::string_view text);

}  // namespace host::report
