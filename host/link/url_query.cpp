#include "host/link/url_query.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

namespace host::link {

namespace {

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

}  // namespace

tl::unexpected<LinkError> bad(std::string message, std::string remedy) {
  return failure(Fault::kBadLink, std::move(message), std::move(remedy));
}

std::string quoted(std::string_view text) {
  constexpr std::size_t kShown = 60;
  std::string shown = "'";
  for (const char c : text.substr(0, kShown)) {
    const auto octet = static_cast<unsigned char>(c);
    if (octet < 0x20 || octet == 0x7F) {
      shown += fmt::format("\\x{:02x}", octet);
    } else {
      shown += c;
    }
  }
  return shown + (text.size() > kShown ? "…'" : "'");
}

Result<std::string> decoded(std::string_view text) {
  std::string plain;
  plain.reserve(text.size());
  for (std::size_t at = 0; at < text.size(); ++at) {
    char c = text[at];
    if (c == '%') {
      const int high = at + 2 < text.size() ? hex_digit(text[at + 1]) : -1;
      const int low = at + 2 < text.size() ? hex_digit(text[at + 2]) : -1;
      if (high < 0 || low < 0) {
        return bad(fmt::format("{} after % are not two hexadecimal digits", quoted(text.substr(at + 1, 2))),
                   "write a plain percent sign as %25");
      }
      c = static_cast<char>(high * 16 + low);
      at += 2;
    }
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      return bad(fmt::format("the link holds the control character 0x{:02x}", static_cast<unsigned char>(c)),
                 "leave control characters out");
    }
    plain += c;
  }
  return plain;
}

Result<std::vector<QueryItem>> query_items(std::string_view query) {
  std::vector<QueryItem> items;
  while (true) {
    const std::size_t end = std::min(query.find('&'), query.size());
    const std::string_view item = query.substr(0, end);
    const std::size_t equals = item.find('=');
    const std::string_view name = item.substr(0, equals);
    if (name.empty()) {
      return bad(fmt::format("{} is an option without a name", quoted(item)),
                 "write options as name=value, with & between them");
    }
    QueryItem read{std::string{name}, std::nullopt};
    if (equals != std::string_view::npos) {
      auto value = decoded(item.substr(equals + 1));
      if (!value) {
        return tl::unexpected{value.error()};
      }
      read.value = std::move(*value);
    }
    items.push_back(std::move(read));
    if (end == query.size()) {
      return items;
    }
    query.remove_prefix(end + 1);
  }
}

Result<std::vector<QueryItem>> line_items(std::string_view query) {
  auto items = query_items(query);
  if (!items) {
    return items;
  }
  for (auto item = items->begin(); item != items->end(); ++item) {
    if (std::any_of(items->begin(), item,
                    [&](const QueryItem& before) { return before.name == item->name; })) {
      return bad(fmt::format("{} is given twice", quoted(item->name)),
                 fmt::format("give {} once", quoted(item->name)));
    }
  }
  return items;
}

}  // namespace host::link
