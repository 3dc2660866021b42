#include "host/link/foreign_words.hpp"

#include <algorithm>
#include <string_view>

#include <fmt/core.h>

#include "host/link/sharing.hpp"
#include "protocol/rtu/frame.hpp"

namespace host::link {

namespace {

using protocol::base::Octets;
using protocol::pdu::Length;

constexpr std::size_t kShown = 16;

bool whole(Octets octets, const Length& length) {
  return length.kind == Length::Kind::kKnown && octets.size() >= length.octets &&
         protocol::rtu::crc_holds(octets.first(length.octets));
}

}  // namespace

std::string hex(Octets octets) {
  std::string text;
  for (const std::uint8_t octet : octets) {
    text += fmt::format("{}{:02X}", text.empty() ? "" : " ", octet);
  }
  return text;
}

std::string words_of_foreign(Octets octets) {
  const std::string shown =
      hex(octets.first(std::min(octets.size(), kShown))) + (octets.size() > kShown ? " …" : "");
  if (const auto unit = answering_each_other(octets)) {
    return fmt::format("two units of address {}, which answer each other without end: {}", *unit, shown);
  }
  // Listening may begin in the middle of a frame, so the first whole one is looked for.
  for (std::size_t at = 0; at + protocol::rtu::kAduSizeMin <= octets.size(); ++at) {
    const Octets rest = octets.subspan(at);
    const bool request = whole(rest, protocol::rtu::request_length(rest));
    if (request || whole(rest, protocol::rtu::response_length(rest))) {
      const std::string_view what = request ? "a request to" : "an answer of";
      return fmt::format("{} unit {}, function {:02X}: {}", what, rest[0], rest[1] & 0x7FU, shown);
    }
  }
  return shown + "; no sound frame at these settings";
}

}  // namespace host::link
