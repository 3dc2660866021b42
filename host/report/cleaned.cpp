#include <algorithm>
#include <iterator>

#include "host/report/columns.hpp"
#include "host/report/document.hpp"

namespace host::report {
namespace {

struct Range {
  char32_t first, last;
};

// Characters that move, hide or reorder what stands beside them, those that end a line, and two that no XML
// may hold.
constexpr Range kUnsafe[] = {
    {0x0000, 0x001f}, {0x007f, 0x009f}, {0x00ad, 0x00ad},   {0x061c, 0x061c}, {0x180e, 0x180e},
    {0x200b, 0x200f}, {0x2028, 0x202e}, {0x2060, 0x206f},   {0xfe00, 0xfe0f}, {0xfeff, 0xfeff},
    {0xfff9, 0xfffb}, {0xfffe, 0xffff}, {0xe0000, 0xe01ef},
};

bool is_unsafe(char32_t code) {
  return std::any_of(std::begin(kUnsafe), std::end(kUnsafe),
                     [code](Range range) { return range.first <= code && code <= range.last; });
}

void append_hexadecimal(std::string& out, std::string_view prefix, unsigned code, int digits) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  out += prefix;
  for (int shift = 4 * (digits - 1); shift >= 0; shift -= 4) out += kDigits[(code >> shift) & 0xfU];
}

}  // namespace

std::string cleaned(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Character character = first_character(text);
    if (!character.valid || (character.code < 0x100 && is_unsafe(character.code) && character.octets == 1)) {
      append_hexadecimal(out, "\\x", static_cast<unsigned char>(text.front()), 2);
    } else if (is_unsafe(character.code)) {
      const bool is_long = character.code > 0xffff;
      append_hexadecimal(out, is_long ? "\\U" : "\\u", static_cast<unsigned>(character.code),
                         is_long ? 8 : 4);
    } else {
      out += text.substr(0, character.octets);
    }
    text.remove_prefix(character.octets);
  }
  return out;
}

}  // namespace host::report

template class std::vector<host::report::Node>;
template class std::vector<host::report::Table::Row>;
template class std::vector<host::report::CheckItem>;
