#include "host/link/trace/packet.hpp"

#include <algorithm>
#include <charconv>
#include <system_error>

#include "protocol/mbap/frame.hpp"

namespace host::link::trace {

namespace {

using protocol::base::Octets;
using protocol::base::read_be16;
using protocol::base::write_be16;
using Bytes = std::vector<std::uint8_t>;

constexpr std::int64_t kMicroseconds = 1'000'000;
constexpr std::size_t kRtacHeaderSize = 12;
enum RtacEvent : std::uint8_t {
  kTxStart = 1,
  kRxStart = 2,
  kCaptureLost = 5,
  kFramingError = 7,
  kParityError = 8
};

constexpr std::size_t kIpSize = 20;
constexpr std::size_t kTcpSize = 20;
constexpr std::uint8_t kTcp = 6;
constexpr std::uint8_t kFin = 0x01;
constexpr std::uint8_t kPush = 0x08;
constexpr std::uint8_t kAck = 0x10;
constexpr std::uint16_t kOwnPort = 49152;

constexpr std::string_view kLeftOut = " octets received before this were left out";

std::uint32_t read_be32(Octets octets, std::size_t at) {
  return (std::uint32_t{read_be16(octets, at)} << 16) | read_be16(octets, at + 2);
}

void write_be32(Bytes& octets, std::size_t at, std::uint32_t value) {
  write_be16(octets, at, static_cast<std::uint16_t>(value >> 16));
  write_be16(octets, at + 2, static_cast<std::uint16_t>(value & 0xFFFFU));
}

// The Internet checksum. Source  RFC 1071.
std::uint16_t checksum(Octets octets, std::uint32_t sum) {
  for (std::size_t at = 0; at < octets.size(); at += 2) {
    sum += static_cast<std::uint32_t>(octets[at] << 8) | (at + 1 < octets.size() ? octets[at + 1] : 0U);
  }
  while ((sum >> 16) != 0) {
    sum = (sum & 0xFFFFU) + (sum >> 16);
  }
  return static_cast<std::uint16_t>(~sum & 0xFFFFU);
}

Bytes rtac(const Record& record) {
  Bytes packet(kRtacHeaderSize);
  write_be32(packet, 0, static_cast<std::uint32_t>(record.first_us / kMicroseconds));
  write_be32(packet, 4, static_cast<std::uint32_t>(record.first_us % kMicroseconds));
  switch (record.kind) {
    case Record::Kind::kSent: packet[8] = kTxStart; break;
    case Record::Kind::kReceived: packet[8] = kRxStart; break;
    case Record::Kind::kDamaged: packet[8] = record.parity ? kParityError : kFramingError; break;
    case Record::Kind::kLost: packet[8] = kCaptureLost; break;
  }
  packet.insert(packet.end(), record.octets.begin(), record.octets.end());
  return packet;
}

std::optional<Record> of_rtac(Octets packet, std::int64_t at_us) {
  if (packet.size() < kRtacHeaderSize) {
    return std::nullopt;
  }
  Record record;
  record.at_us = at_us;
  const std::int64_t first = read_be32(packet, 0) * kMicroseconds + read_be32(packet, 4);
  // Others write times of their own there; ours is never later than the last octet, nor much earlier.
  record.first_us = first <= at_us && at_us - first < kMicroseconds ? first : at_us;
  switch (packet[8]) {
    case kTxStart: record.kind = Record::Kind::kSent; break;
    case kRxStart: record.kind = Record::Kind::kReceived; break;
    case kFramingError:
    case kParityError:
      record.kind = Record::Kind::kDamaged;
      record.parity = packet[8] == kParityError;
      break;
    case kCaptureLost: record.kind = Record::Kind::kLost; break;
    default: return std::nullopt;
  }
  const Octets octets = packet.subspan(kRtacHeaderSize);
  const bool talk = record.kind == Record::Kind::kSent || record.kind == Record::Kind::kReceived;
  if (octets.size() > kRecordSizeMax || (talk && octets.empty())) {
    return std::nullopt;
  }
  const bool one_damaged = record.kind == Record::Kind::kDamaged && octets.size() == 1;
  if (talk || one_damaged) {
    record.octets.assign(octets.begin(), octets.end());
  }
  return record;
}

std::optional<Record> of_raw(Octets packet, std::int64_t at_us) {
  if (packet.size() < kIpSize || (packet[0] >> 4) != 4 || packet[9] != kTcp) {
    return std::nullopt;
  }
  const std::size_t ip_size = std::size_t{packet[0] & 0x0FU} * 4;
  const std::size_t whole = read_be16(packet, 2);
  if (ip_size < kIpSize || whole > packet.size() || whole < ip_size + kTcpSize) {
    return std::nullopt;
  }
  const Octets segment = packet.subspan(ip_size, whole - ip_size);
  const std::size_t tcp_size = static_cast<std::size_t>(segment[12] >> 4U) * 4;
  if (tcp_size < kTcpSize || tcp_size > segment.size()) {
    return std::nullopt;
  }
  const bool from_unit = read_be16(segment, 0) == protocol::mbap::kPort;
  const bool to_unit = read_be16(segment, 2) == protocol::mbap::kPort;
  const Octets octets = segment.subspan(tcp_size);
  if (from_unit == to_unit || octets.size() > kRecordSizeMax) {
    return std::nullopt;
  }
  Record record;
  record.at_us = record.first_us = at_us;
  if (octets.empty()) {
    if (!from_unit || (segment[13] & kFin) == 0) {
      return std::nullopt;
    }
    record.kind = Record::Kind::kLost;
    return record;
  }
  record.kind = from_unit ? Record::Kind::kReceived : Record::Kind::kSent;
  record.octets.assign(octets.begin(), octets.end());
  return record;
}

}  // namespace

std::string left_out_comment(std::uint64_t octets) {
  return std::to_string(octets).append(kLeftOut);
}

std::uint64_t left_out_of(std::string_view comment) {
  if (!comment.ends_with(kLeftOut)) return 0;
  const std::string_view number = comment.substr(0, comment.size() - kLeftOut.size());
  std::uint64_t octets = 0;
  const auto [rest, error] = std::from_chars(number.begin(), number.end(), octets);
  return error == std::errc{} && rest == number.end() ? octets : 0;
}

std::vector<std::uint8_t> PacketMaker::packet(const Record& record) {
  return carrier_ == Carrier::kMbap ? segment(record) : rtac(record);
}

std::vector<std::uint8_t> PacketMaker::segment(const Record& record) {
  const bool sent = record.kind == Record::Kind::kSent;
  std::uint32_t& own = sent ? sent_ : received_;
  const std::uint32_t other = sent ? received_ : sent_;
  own += static_cast<std::uint32_t>(record.left_out);  // analysers see a gap where there is one
  Bytes packet(kIpSize + kTcpSize);
  packet.insert(packet.end(), record.octets.begin(), record.octets.end());
  packet[0] = 0x45;
  write_be16(packet, 2, static_cast<std::uint16_t>(packet.size()));
  packet[8] = 64;
  packet[9] = kTcp;
  constexpr std::uint32_t kOwnAddress = 0xC0000201;   // 192.0.2.1
  constexpr std::uint32_t kUnitAddress = 0xC0000202;  // 192.0.2.2
  write_be32(packet, 12, sent ? kOwnAddress : kUnitAddress);
  write_be32(packet, 16, sent ? kUnitAddress : kOwnAddress);
  write_be16(packet, 10, checksum(Octets{packet}.first(kIpSize), 0));
  write_be16(packet, kIpSize, sent ? kOwnPort : protocol::mbap::kPort);
  write_be16(packet, kIpSize + 2, sent ? protocol::mbap::kPort : kOwnPort);
  write_be32(packet, kIpSize + 4, own);
  write_be32(packet, kIpSize + 8, other);
  packet[kIpSize + 12] = (kTcpSize / 4) << 4;
  packet[kIpSize + 13] = record.kind == Record::Kind::kLost ? kFin | kAck : kPush | kAck;
  write_be16(packet, kIpSize + 14, 0xFFFF);
  const std::uint32_t pseudo =
      2 * 0xC000U + 0x0201U + 0x0202U + kTcp + static_cast<std::uint32_t>(packet.size() - kIpSize);
  write_be16(packet, kIpSize + 16, checksum(Octets{packet}.subspan(kIpSize), pseudo));
  own += static_cast<std::uint32_t>(record.octets.size()) + (record.kind == Record::Kind::kLost ? 1 : 0);
  return packet;
}

std::optional<Record> record_of(std::uint16_t type, protocol::base::Octets packet, std::int64_t at_us) {
  switch (type) {
    case kLinkTypeRtac: return of_rtac(packet, at_us);
    case kLinkTypeRaw: return of_raw(packet, at_us);
    default: return std::nullopt;
  }
}

}  // namespace host::link::trace
