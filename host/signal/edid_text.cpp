#include "host/signal/edid_text.hpp"

#include <algorithm>
#include <optional>

#include "host/signal/edid.hpp"
#include "host/signal/hex.hpp"

namespace host::signal {
namespace {

constexpr std::size_t kBytesMax = 256 * kEdidBlockSize;

std::optional<int> digit_of(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return std::nullopt;
}

bool separates(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == ',';
}

// No text has a zero octet; and an EDID keeps the rest of its header when the first octet is damaged.
bool is_binary(std::string_view text) {
  constexpr std::string_view kRestOfHeader("\xFF\xFF\xFF\xFF\xFF\xFF\0", 7);
  return text.find('\0') != std::string_view::npos ||
         text.substr(std::min<std::size_t>(text.size(), 1)).starts_with(kRestOfHeader);
}

std::string place(std::size_t line, std::size_t column) {
  return "line " + std::to_string(line) + ", column " + std::to_string(column) + ": ";
}

}  // namespace

tl::expected<std::vector<std::uint8_t>, std::string> parse_edid_file(std::string_view text) {
  std::vector<std::uint8_t> bytes;
  const auto too_many = [] {
    return tl::unexpected("more than " + std::to_string(kBytesMax) +
                          " bytes; an EDID has 256 blocks at most");
  };
  if (is_binary(text)) {
    if (text.size() > kBytesMax) return too_many();
    bytes.assign(text.begin(), text.end());
    return bytes;
  }
  std::size_t line = 1;
  std::size_t start = 0;  // of the line
  for (std::size_t i = 0; i < text.size();) {
    if (text[i] == '\n') {
      ++line;
      start = ++i;
    } else if (separates(text[i])) {
      ++i;
    } else if (text[i] == '#' && i == start) {
      while (i < text.size() && text[i] != '\n') ++i;
    } else if (text.substr(i).starts_with("0x") && i + 2 < text.size() && digit_of(text[i + 2])) {
      i += 2;
    } else {
      const auto high = digit_of(text[i]);
      if (!high) return tl::unexpected(place(line, i - start + 1) + "a hexadecimal digit is expected here");
      const auto low = i + 1 < text.size() ? digit_of(text[i + 1]) : std::nullopt;
      if (!low)
        return tl::unexpected(place(line, i - start + 2) + "the second digit of a byte is expected here");
      if (bytes.size() == kBytesMax) return too_many();
      bytes.push_back(static_cast<std::uint8_t>(*high << 4 | *low));
      i += 2;
    }
  }
  return bytes;
}

std::string edid_file_text(std::span<const std::uint8_t> bytes) {
  std::string text;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    text += hex(bytes[i]).substr(0, 2);
    text += i % 16 == 15 || i + 1 == bytes.size() ? '\n' : ' ';
  }
  return text;
}

}  // namespace host::signal
