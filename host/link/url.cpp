#include "host/link/url.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "host/link/url_query.hpp"
#include "protocol/mbap/frame.hpp"

namespace host::link {

namespace {

constexpr std::size_t kLinkSizeMax = 4096;
constexpr std::uint16_t kModbusPort = protocol::mbap::kPort;
constexpr std::uint32_t kBaudMin = 50;
constexpr std::uint32_t kBaudMax = 4'000'000;

// The link itself decides where the simulator listens.
constexpr std::array<std::string_view, 7> kSimOptionsOwned{"pty",     "tcp",  "mbtcp",        "catalog",
                                                           "version", "help", "remove-folder"};
// All others it has.
constexpr std::array<std::string_view, 23> kSimOptions{
    "straps",     "fault",  "setting", "source",  "within", "serial", "serial-number", "address",
    "units",      "seed",   "state",   "pace",    "baud",   "parity", "stop",          "noise",
    "turnaround", "script", "speed",   "control", "truth",  "seen",   "quiet"};

constexpr std::string_view kLinkForms =
    "a link is serial:/dev/ttyUSB0?baud=115200&parity=even&stop=1, a device path such as /dev/ttyUSB0, "
    "tcp://host:port, mbtcp://host, sim:KIT or trace:FILE";
constexpr std::size_t kHostSizeMax = 253;

Result<void> set_serial_option(SerialLink& link, const QueryItem& item) {
  const std::string value = item.value.value_or("");
  if (item.name == "baud") {
    std::uint32_t baud = 0;
    const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), baud);
    if (error != std::errc{} || end != value.data() + value.size() || baud < kBaudMin || baud > kBaudMax) {
      return bad(
          fmt::format("baud={} is no speed", quoted(value)),
          fmt::format("baud is a whole number from {} to {}, such as 19200 or 115200", kBaudMin, kBaudMax));
    }
    link.baud = baud;
    return {};
  }
  if (item.name == "parity") {
    constexpr std::array<std::string_view, 3> kNames{"none", "even", "odd"};
    const auto* const found = std::find(kNames.begin(), kNames.end(), value);
    if (found == kNames.end()) {
      return bad(fmt::format("parity={} is not known", quoted(value)), "parity is none, even or odd");
    }
    link.parity = static_cast<Parity>(found - kNames.begin());
    return {};
  }
  if (item.name == "stop") {
    if (value != "1" && value != "2") {
      return bad(fmt::format("stop={} is not possible", quoted(value)), "stop is 1 or 2");
    }
    link.stop_bits = static_cast<std::uint8_t>(value[0] - '0');
    return {};
  }
  if (item.name == "own") {
    if (value != "yes" && value != "no") {
      return bad(fmt::format("own={} is not known", quoted(value)), "own is yes or no");
    }
    link.own = value == "yes";
    return {};
  }
  if (item.name == "rs485") {
    if (value != "yes" && value != "no") {
      return bad(fmt::format("rs485={} is not known", quoted(value)),
                 "rs485 is yes where RTS switches a transceiver, else left out");
    }
    link.rs485 = value == "yes" ? Rs485::kByKernel : Rs485::kLeaveAlone;
    return {};
  }
  return bad(fmt::format("a serial link has no option {}", quoted(item.name)),
             "a serial link takes baud, parity, stop, own and rs485");
}

Result<LinkUrl> parse_serial(std::string_view text, std::string_view body) {
  const std::size_t mark = body.find('?');
  auto path = decoded(body.substr(0, mark));
  if (!path) {
    return tl::unexpected{path.error()};
  }
  if (path->empty()) {
    return bad(fmt::format("{} names no device", quoted(text)), std::string{kLinkForms});
  }
  SerialLink link;
  link.path = std::move(*path);
  if (mark != std::string_view::npos) {
    const auto items = line_items(body.substr(mark + 1));
    if (!items) {
      return tl::unexpected{items.error()};
    }
    for (const QueryItem& item : *items) {
      if (const auto set = set_serial_option(link, item); !set) {
        return tl::unexpected{set.error()};
      }
    }
  }
  return LinkUrl{std::string{text}, std::move(link)};
}

bool is_host_character(char c, bool bracketed) {
  const bool digit = c >= '0' && c <= '9';
  const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
  // An IPv6 address may name its interface: fe80::1%eth0.
  return digit || letter || c == '.' || c == '-' || c == '_' || (bracketed && (c == ':' || c == '%'));
}

Result<LinkUrl> parse_tcp(std::string_view text, std::string_view body, Framing framing) {
  const std::string form = framing == Framing::kRtu
                               ? "write tcp://host:port, an IPv6 address as tcp://[::1]:port"
                               : "write mbtcp://host or mbtcp://host:502, an IPv6 address as mbtcp://[::1]";
  const std::size_t mark = std::min(body.find('?'), body.size());
  std::string_view place = body.substr(0, mark);
  TcpLink link;
  link.framing = framing;
  link.own = framing == Framing::kMbap;
  const bool bracketed = place.starts_with('[');
  if (bracketed && place.find(']') == std::string_view::npos) {
    return bad(fmt::format("the bracket in {} is never closed", quoted(place)), form);
  }
  const std::size_t end = bracketed ? place.find(']') : std::min(place.find(':'), place.size());
  link.host = std::string{place.substr(bracketed ? 1 : 0, bracketed ? end - 1 : end)};
  // In a URI the sign before an interface is itself written as its number: fe80::1%25eth0.
  constexpr std::string_view kSign = "%25";
  if (const std::size_t at = link.host.find(kSign);
      at != std::string::npos && at + kSign.size() < link.host.size()) {
    link.host.replace(at, kSign.size(), "%");
  }
  place.remove_prefix(bracketed ? end + 1 : end);
  if (link.host.empty() || link.host.size() > kHostSizeMax) {
    return bad(fmt::format("{} names no host", quoted(text)), form);
  }
  if (const auto odd = std::find_if_not(link.host.begin(), link.host.end(),
                                        [&](char c) { return is_host_character(c, bracketed); });
      odd != link.host.end()) {
    return bad(fmt::format("{} can't be a host", quoted(link.host)), form);
  }
  if (!bracketed && place.find(':', 1) != std::string_view::npos) {
    return bad(fmt::format("{} is an IPv6 address without brackets", quoted(body.substr(0, mark))), form);
  }
  if (place.empty()) {
    if (framing == Framing::kRtu) {
      return bad(fmt::format("{} names no port", quoted(text)), form);
    }
    link.port = kModbusPort;
  } else {
    const std::string_view digits = place.substr(1);
    unsigned port = 0;
    const auto [stop, error] = std::from_chars(digits.data(), digits.data() + digits.size(), port);
    if (place.front() != ':' || error != std::errc{} || stop != digits.data() + digits.size() || port < 1 ||
        port > 65535) {
      return bad(fmt::format("{} is no port", quoted(place)), "a port is a whole number from 1 to 65535");
    }
    link.port = static_cast<std::uint16_t>(port);
  }
  if (mark == body.size()) {
    return LinkUrl{std::string{text}, std::move(link)};
  }
  const auto items = line_items(body.substr(mark + 1));
  if (!items) {
    return tl::unexpected{items.error()};
  }
  for (const QueryItem& item : *items) {
    const std::string value = item.value.value_or("");
    if (framing == Framing::kMbap || item.name != "own") {
      return bad(fmt::format("this link has no option {}", quoted(item.name)),
                 framing == Framing::kMbap ? "mbtcp:// takes no options" : "tcp:// takes own");
    }
    if (value != "yes" && value != "no") {
      return bad(fmt::format("own={} is not known", quoted(value)), "own is yes or no");
    }
    link.own = value == "yes";
  }
  return LinkUrl{std::string{text}, std::move(link)};
}

Result<LinkUrl> parse_trace(std::string_view text, std::string_view body) {
  auto path = decoded(body);
  if (!path) {
    return tl::unexpected{path.error()};
  }
  if (path->empty()) {
    return bad(fmt::format("{} names no file", quoted(text)), "write trace:FILE");
  }
  return LinkUrl{std::string{text}, TraceLink{std::move(*path)}};
}

bool is_option_name(std::string_view name) {
  return name.front() >= 'a' && name.front() <= 'z' && std::all_of(name.begin(), name.end(), [](char c) {
           return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
         });
}

// What can be told without the simulator; the rest it says itself.
Result<void> check_sim_option(const QueryItem& item) {
  if (std::find(kSimOptions.begin(), kSimOptions.end(), item.name) == kSimOptions.end()) {
    return bad(fmt::format("the simulator has no option {}", quoted(item.name)),
               fmt::format("it has {}", fmt::join(kSimOptions, ", ")));
  }
  const std::string value = item.value.value_or("");
  if (item.name == "serial" && value.find('/') != std::string::npos) {
    return bad("a serial port is not for a link to give", "serial= is the unit's serial number here");
  }
  const bool digits = std::all_of(value.begin(), value.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (item.name == "seed" && (value.empty() || !digits)) {
    return bad(fmt::format("seed={} is no seed", quoted(value)), "a seed is a whole number from 0");
  }
  return {};
}

Result<LinkUrl> parse_sim(std::string_view text, std::string_view body) {
  const std::size_t mark = body.find('?');
  auto kit = decoded(body.substr(0, mark));
  if (!kit) {
    return tl::unexpected{kit.error()};
  }
  if (kit->empty() || kit->front() == '-') {
    return bad(fmt::format("{} names no kit", quoted(text)), "write sim:KIT, with a kit's name or its file");
  }
  SimLink link{std::move(*kit), {}};
  if (mark != std::string_view::npos) {
    auto items = query_items(body.substr(mark + 1));
    if (!items) {
      return tl::unexpected{items.error()};
    }
    for (QueryItem& item : *items) {
      if (!is_option_name(item.name)) {
        return bad(fmt::format("{} can't be an option of the simulator", quoted(item.name)),
                   "option names are lower-case words such as straps, fault or source");
      }
      if (std::find(kSimOptionsOwned.begin(), kSimOptionsOwned.end(), item.name) != kSimOptionsOwned.end()) {
        return bad(fmt::format("{} is not for a link to give", item.name),
                   "the link decides where the simulator listens and which catalogue it reads");
      }
      if (auto checked = check_sim_option(item); !checked) {
        return tl::unexpected{checked.error()};
      }
      link.options.push_back(SimOption{std::move(item.name), std::move(item.value)});
    }
  }
  return LinkUrl{std::string{text}, std::move(link)};
}

}  // namespace

std::string to_text(const LineSettings& line) {
  constexpr std::array<char, 3> kLetters{'N', 'E', 'O'};
  return fmt::format("{} Bd 8{}{}", line.baud, kLetters.at(static_cast<std::size_t>(line.parity)),
                     line.stop_bits);
}

Result<LinkUrl> parse_link(std::string_view text) {
  if (text.empty()) {
    return bad("the link is empty", std::string{kLinkForms});
  }
  if (text.size() > kLinkSizeMax) {
    return bad(fmt::format("the link is {} characters long", text.size()),
               fmt::format("a link has at most {} characters", kLinkSizeMax));
  }
  const auto after = [&](std::string_view scheme) { return text.substr(scheme.size()); };
  if (text.starts_with("serial:")) {
    return parse_serial(text, after("serial:"));
  }
  if (text.starts_with("sim:")) {
    return parse_sim(text, after("sim:"));
  }
  if (text.starts_with("tcp://")) {
    return parse_tcp(text, after("tcp://"), Framing::kRtu);
  }
  if (text.starts_with("mbtcp://")) {
    return parse_tcp(text, after("mbtcp://"), Framing::kMbap);
  }
  if (text.starts_with("trace:")) {
    return parse_trace(text, after("trace:"));
  }
  const std::size_t colon = text.find(':');
  const std::size_t slash = text.find('/');
  // /dev/serial/by-path names hold colons, but never before their first slash.
  if (slash != std::string_view::npos && (colon == std::string_view::npos || slash < colon)) {
    return parse_serial(text, text);
  }
  if (colon != std::string_view::npos) {
    return bad(fmt::format("{} is no kind of link", quoted(text.substr(0, colon + 1))),
               std::string{kLinkForms});
  }
  return bad(fmt::format("{} is neither a device path nor a kind of link", quoted(text)),
             text.starts_with("tty") ? fmt::format("did you mean /dev/{}?", text) : std::string{kLinkForms});
}

LineSettings settled(const SerialLink& link, const LineSettings& board) {
  LineSettings line = board;
  line.baud = link.baud.value_or(board.baud);
  line.parity = link.parity.value_or(board.parity);
  const bool board_counts = line.parity == board.parity;
  line.stop_bits = link.stop_bits.value_or(board_counts ? board.stop_bits : standard_stop_bits(line.parity));
  return line;
}

}  // namespace host::link
