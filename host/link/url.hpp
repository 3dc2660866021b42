#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/serial_modes.hpp"

namespace host::link {

/// `serial:/dev/ttyUSB0?baud=115200&parity=even&stop=1&own=yes`, or the path alone. What the text leaves
/// out stays empty, so that a board's own settings can fill it.
struct SerialLink {
  std::string path;
  std::optional<std::uint32_t> baud;      ///< 50..4000000
  std::optional<Parity> parity;           ///< "none", "even", "odd"
  std::optional<std::uint8_t> stop_bits;  ///< 1 or 2
  bool own = false;                       ///< nobody else is on this line: no listening before talking
  Rs485 rs485 = Rs485::kLeaveAlone;       ///< "rs485=yes": RTS switches the transceiver, the kernel RTS
};

/// What a TCP stream carries.
enum class Framing : std::uint8_t {
  kRtu,   ///< the frame of a serial line, address and CRC as they are
  kMbap,  ///< Modbus/TCP
};

/// `tcp://host:port?own=yes` or `mbtcp://host:port`. An IPv6 address stands in brackets: `tcp://[::1]:4001`.
struct TcpLink {
  std::string host;  ///< a name, an IPv4 or an IPv6 address, without brackets
  std::uint16_t port = 0;
  Framing framing = Framing::kRtu;
  bool own = false;  ///< nobody else is on the line behind it; always so with Modbus/TCP
};

/// `trace:FILE`: what was once said on a wire, said again.
struct TraceLink {
  std::string path;
};

/// One option for the simulator: `fault=supply-low=10` has name "fault" and value "supply-low=10"; a bare
/// `pace` has no value.
struct SimOption {
  std::string name;
  std::optional<std::string> value;

  friend bool operator==(const SimOption&, const SimOption&) = default;
};

/// `sim:KIT?straps=BR1=2-3,BR2=1-2&fault=…`: the kit's name or file, and the simulator's options in order.
struct SimLink {
  std::string kit;
  std::vector<SimOption> options;
};

/// A link as the user wrote it and what it means.
struct LinkUrl {
  std::string text;
  std::variant<SerialLink, TcpLink, SimLink, TraceLink> target;
};

/// Reads a link.
///
/// Shape    link    = "serial:" path [ "?" query ] | path [ "?" query ] | "sim:" kit [ "?" query ]
///                  | "tcp://" host ":" port [ "?" query ] | "mbtcp://" host [ ":" port ] | "trace:" file
///          host    = name | IPv4 address | "[" IPv6 address [ ( "%" | "%25" ) interface ] "]"
///          query   = item *( "&" item ),  item = name [ "=" value ]
///          A bare path is any text with a "/" and no scheme. Only the first "=" of an item parts name from
///          value, so values may hold "=" and ",". "%41" decodes to "A" in paths, kits and values; "+" stays
///          "+", because strap positions are written with it.
/// Returns  the link, nothing opened or looked up.
/// Errors   kBadLink (64) names the part that can't be read and what would be right.
/// Source   RFC 3986, 3.2.2 (brackets); RFC 6874, 2 (%25); MODBUS Messaging on TCP/IP V1.0b, 4.2.2 (port
/// 502).
[[nodiscard]] Result<LinkUrl> parse_link(std::string_view text);

/// The line settings of `link`, with `board`'s where the text says nothing. Without parity and without a
/// stated number, two stop bits are sent, as the standard asks; a receiver of one takes them too.
/// Source  MODBUS over Serial Line V1.02, 2.5.1.
[[nodiscard]] LineSettings settled(const SerialLink& link, const LineSettings& board);

}  // namespace host::link
