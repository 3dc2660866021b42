#include "host/report/columns.hpp"

#include <algorithm>
#include <iterator>

namespace host::report {
namespace {

struct Range {
  char32_t first, last;
};

constexpr Range kCombining[] = {
    {0x0300, 0x036f}, {0x1ab0, 0x1aff}, {0x1dc0, 0x1dff}, {0x20d0, 0x20ff}, {0xfe20, 0xfe2f}};
constexpr Range kWide[] = {{0x1100, 0x115f}, {0x2e80, 0xa4cf}, {0xac00, 0xd7a3},   {0xf900, 0xfaff},
                           {0xfe30, 0xfe6f}, {0xff00, 0xff60}, {0x1f300, 0x1faff}, {0x20000, 0x3fffd}};

template <std::size_t N>
bool within(const Range (&ranges)[N], char32_t code) {
  return std::any_of(std::begin(ranges), std::end(ranges),
                     [code](Range range) { return range.first <= code && code <= range.last; });
}

int width_of(const Character& character) {
  if (!character.valid) return 1;
  if (within(kCombining, character.code)) return 0;
  return within(kWide, character.code) ? 2 : 1;
}

std::vector<std::string_view> words_of(std::string_view text) {
  std::vector<std::string_view> words;
  while (true) {
    const std::size_t start = text.find_first_not_of(' ');
    if (start == std::string_view::npos) return words;
    text.remove_prefix(start);
    const std::size_t end = std::min(text.find(' '), text.size());
    words.push_back(text.substr(0, end));
    text.remove_prefix(end);
  }
}

// The part of `word` that fits into `columns`, at least one character of it; up to a joint of a name where it
// has one.
std::string_view head_of(std::string_view word, int columns) {
  std::size_t octets = 0;
  std::size_t joint = 0;
  int used = 0;
  while (octets < word.size()) {
    const Character character = first_character(word.substr(octets));
    const int width = width_of(character);
    if (octets > 0 && used + width > columns) break;
    used += width;
    octets += character.octets;
    if (octets < word.size() && (word[octets - 1] == '_' || word[octets - 1] == '.')) joint = octets;
  }
  return word.substr(0, joint > 0 && octets < word.size() ? joint : octets);
}

}  // namespace

Character first_character(std::string_view text) {
  const auto at = [&](std::size_t index) { return static_cast<unsigned char>(text[index]); };
  const unsigned first = at(0);
  if (first < 0x80) return {first, 1, true};
  const std::size_t octets = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
  if (first < 0xc2 || first > 0xf4 || text.size() < octets) return {};
  char32_t code = first & (0x7fU >> octets);
  for (std::size_t index = 1; index < octets; ++index) {
    if ((at(index) & 0xc0U) != 0x80U) return {};
    code = (code << 6U) | (at(index) & 0x3fU);
  }
  constexpr char32_t kSmallest[] = {0, 0, 0x80, 0x800, 0x10000};
  if (code < kSmallest[octets] || code > 0x10ffff || (code >= 0xd800 && code <= 0xdfff)) return {};
  return {code, octets, true};
}

int columns_of(std::string_view text) {
  int columns = 0;
  while (!text.empty()) {
    const Character character = first_character(text);
    columns += width_of(character);
    text.remove_prefix(character.octets);
  }
  return columns;
}

std::string padded(std::string_view text, int columns) {
  std::string out{text};
  out.append(static_cast<std::size_t>(std::max(0, columns - columns_of(text))), ' ');
  return out;
}

std::vector<std::string> wrapped(std::string_view text, int columns) {
  std::vector<std::string> lines(1);
  int used = 0;
  for (std::string_view word : words_of(text)) {
    int width = columns_of(word);
    if (used > 0 && used + 1 + width > columns) {
      lines.emplace_back();
      used = 0;
    }
    if (used > 0) {
      lines.back() += ' ';
      ++used;
    }
    while (width > columns) {
      const std::string_view head = head_of(word, columns);
      if (head.size() == word.size()) break;
      lines.back() += head;
      lines.emplace_back();
      word.remove_prefix(head.size());
      width = columns_of(word);
    }
    lines.back() += word;
    used += width;
  }
  return lines;
}

int widest_word(std::string_view text) {
  int widest = 0;
  for (const std::string_view word : words_of(text)) widest = std::max(widest, columns_of(word));
  return widest;
}

}  // namespace host::report
