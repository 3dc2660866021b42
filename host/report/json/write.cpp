#include <array>

#include <nlohmann/json.hpp>

#include "host/report/json/value.hpp"

namespace host::report::json {
namespace {

using Tree = nlohmann::ordered_json;

Tree tree_of(const Value& value);

struct ToTree {
  Tree operator()(bool flag) const { return flag; }
  Tree operator()(std::int64_t number) const { return number; }
  Tree operator()(const std::string& text) const { return text; }
  Tree operator()(const Value::Array& array) const {
    Tree tree = Tree::array();
    for (const auto& element : array) tree.push_back(tree_of(element));
    return tree;
  }
  Tree operator()(const Value::Object& object) const {
    Tree tree = Tree::object();
    for (const auto& [key, member] : object) tree[key] = tree_of(member);
    return tree;
  }
};

Tree tree_of(const Value& value) {
  return std::visit(ToTree{}, value.data());
}

struct Escape {
  std::string_view octets;  // as UTF-8, first of the run
  unsigned first;
  unsigned count;  // code points from it on, told apart by the last octet alone
};

// What JSON lets stand raw and a terminal obeys: DEL, C1 controls, line separators, bidirectional controls.
constexpr std::array<Escape, 8> kEscapes{{
    {"\x7f", 0x7f, 1},
    {"\xc2\x80", 0x80, 32},
    {"\xd8\x9c", 0x61c, 1},
    {"\xe2\x80\x8b", 0x200b, 5},
    {"\xe2\x80\xa8", 0x2028, 7},
    {"\xe2\x81\xa0", 0x2060, 16},
    {"\xef\xbb\xbf", 0xfeff, 1},
    {"\xef\xbf\xb9", 0xfff9, 3},
}};

// The escape that `text` starts with, its code point, or 0.
unsigned escaped_at(std::string_view text, std::size_t& length) {
  for (const auto& escape : kEscapes) {
    const std::size_t last = escape.octets.size() - 1;
    if (text.size() <= last || text.substr(0, last) != escape.octets.substr(0, last)) continue;
    const unsigned offset =
        static_cast<unsigned char>(text[last]) - static_cast<unsigned char>(escape.octets[last]);
    if (offset >= escape.count) continue;
    length = last + 1;
    return escape.first + offset;
  }
  return 0;
}

}  // namespace

std::string write(const Value& document) {
  const std::string raw = tree_of(document).dump(2, ' ', false, Tree::error_handler_t::replace);
  std::string text;
  text.reserve(raw.size() + 1);
  for (std::size_t at = 0; at < raw.size();) {
    std::size_t length = 1;
    const bool is_plain = static_cast<unsigned char>(raw[at]) < 0x7f;
    const unsigned code = is_plain ? 0 : escaped_at(std::string_view{raw}.substr(at), length);
    if (code != 0) {
      constexpr std::string_view kDigits = "0123456789abcdef";
      text += "\\u";
      for (int shift = 12; shift >= 0; shift -= 4) text += kDigits[(code >> shift) & 0xfU];
    } else {
      text += raw[at];
    }
    at += length;
  }
  text += '\n';
  return text;
}

}  // namespace host::report::json
