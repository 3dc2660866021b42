#include "sim/line/character.hpp"

#include <array>
#include <charconv>

namespace sim::line {
namespace {

constexpr std::array<char, 3> kLetters{'N', 'E', 'O'};

tl::unexpected<std::string> refuse(std::string_view text) {
  return tl::unexpected("\"" + std::string{text} + "\" is no line setting; write 9600, 8N1 or 9600-8E1");
}

}  // namespace

std::string to_text(const CharacterFormat& format) {
  return std::to_string(format.baud) + " Bd 8" + kLetters[static_cast<std::size_t>(format.parity)] +
         std::to_string(format.stop_bits);
}

tl::expected<Parity, std::string> parse_parity(std::string_view text) {
  if (text == "none") return Parity::kNone;
  if (text == "even") return Parity::kEven;
  if (text == "odd") return Parity::kOdd;
  return tl::unexpected("parity is none, even or odd, not \"" + std::string{text} + "\"");
}

tl::expected<std::uint32_t, std::string> parse_baud(std::string_view text) {
  std::uint32_t baud = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), baud);
  if (error != std::errc{} || end != text.data() + text.size() || baud < kBaudMin || baud > kBaudMax) {
    return tl::unexpected("a speed is a whole number from " + std::to_string(kBaudMin) + " to " +
                          std::to_string(kBaudMax) + ", not \"" + std::string{text} + "\"");
  }
  return baud;
}

tl::expected<CharacterFormat, std::string> parse_format(std::string_view text,
                                                        const CharacterFormat& otherwise) {
  CharacterFormat format = otherwise;
  std::string_view speed = text;
  std::string_view frame;
  if (const std::size_t dash = text.find('-'); dash != std::string_view::npos) {
    speed = text.substr(0, dash);
    frame = text.substr(dash + 1);
    if (speed.empty() || frame.empty()) return refuse(text);
  } else if (text.size() == 3 && text[0] == '8' && (text[1] < '0' || text[1] > '9')) {
    speed = {};
    frame = text;
  }
  if (frame.empty() || !speed.empty()) {
    const auto baud = parse_baud(speed);
    if (!baud) return refuse(text);
    format.baud = *baud;
  }
  if (frame.empty()) return format;
  if (frame.size() != 3 || frame[0] != '8' || (frame[2] != '1' && frame[2] != '2')) return refuse(text);
  switch (frame[1]) {
    case 'N': format.parity = Parity::kNone; break;
    case 'E': format.parity = Parity::kEven; break;
    case 'O': format.parity = Parity::kOdd; break;
    default: return refuse(text);
  }
  format.stop_bits = static_cast<std::uint8_t>(frame[2] - '0');
  return format;
}

}  // namespace sim::line
