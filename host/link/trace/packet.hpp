#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "host/link/trace/record.hpp"
#include "protocol/base/bytes.hpp"

namespace host::link::trace {

/// How a record stands in a capture.
///
/// Frames of a serial line, also where TCP carries them: link type 250, RTAC serial. Twelve octets,
/// big-endian, ahead of the frame: seconds and microseconds of its first octet, the event (1 sent, 2
/// received, 7 framing or parity error, 8 parity error where that is known, 5 the port went away), the modem
/// lines (always 0), a footer of two octets (0).
///
///   65 68 2F 80  00 00 01 F4  01 00 00 00  11 03 00 6B 00 03 76 87
///
/// Octets of Modbus/TCP: link type 101, raw IP. An IPv4 and a TCP header ahead of each segment, made up: this
/// program is 192.0.2.1:49152, the unit 192.0.2.2:502; numbers run on, so that analysers follow the stream. A
/// connection that went away is a FIN of the unit.
///
/// Source   tcpdump.org link types 101 and 250; the header's fields as packet analysers decode them; RFC 791,
///          RFC 793, RFC 5737 (addresses for documentation).
inline constexpr std::uint16_t kLinkTypeRaw = 101;
inline constexpr std::uint16_t kLinkTypeRtac = 250;
/// Octets of a record that are read or written at once; more are several records.
inline constexpr std::size_t kRecordSizeMax = 4096;

[[nodiscard]] constexpr std::uint16_t link_type(Carrier carrier) {
  return carrier == Carrier::kMbap ? kLinkTypeRaw : kLinkTypeRtac;
}

/// What the comment of a packet says of octets that were left out ahead of it, and the number again; 0 of any
/// other comment.
[[nodiscard]] std::string left_out_comment(std::uint64_t octets);
[[nodiscard]] std::uint64_t left_out_of(std::string_view comment);

/// Makes packets of records; numbers of a TCP stream run on in it.
class PacketMaker {
 public:
  explicit PacketMaker(Carrier carrier) : carrier_{carrier} {}

  /// Precondition: record.octets.size() <= kRecordSizeMax.
  [[nodiscard]] std::vector<std::uint8_t> packet(const Record& record);

 private:
  [[nodiscard]] std::vector<std::uint8_t> segment(const Record& record);

  Carrier carrier_;
  std::uint32_t sent_ = 1;
  std::uint32_t received_ = 1;
};

/// What a packet of this link type says, with `at_us` from the capture; nothing when it is no record of ours
/// (another event, another protocol, cut). Never reads past `packet`.
[[nodiscard]] std::optional<Record> record_of(std::uint16_t type, protocol::base::Octets packet,
                                              std::int64_t at_us);

}  // namespace host::link::trace
