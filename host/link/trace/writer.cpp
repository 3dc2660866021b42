#include "host/link/trace/writer.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <unistd.h>

#include "host/link/trace/preamble.hpp"

namespace host::link::trace {

namespace {

using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;

enum BlockType : std::uint32_t { kSection = 0x0A0D0D0A, kInterface = 1, kEnhancedPacket = 6 };
constexpr std::uint32_t kByteOrderMagic = 0x1A2B3C4D;
constexpr std::uint16_t kComment = 1;
constexpr std::uint16_t kUserApplication = 4;
constexpr std::uint16_t kTimeResolution = 9;
constexpr std::uint16_t kPacketFlags = 2;
// Far more than any answer with all that can be wrong with it.
constexpr std::size_t kInARowMax = std::size_t{64} * 1024;
constexpr std::uint32_t kInbound = 1;
constexpr std::uint32_t kOutbound = 2;

// The section says in which order its octets stand; ours is little-endian on every machine.
void put16(Bytes& block, std::uint32_t value) {
  block.push_back(static_cast<std::uint8_t>(value & 0xFFU));
  block.push_back(static_cast<std::uint8_t>((value >> 8) & 0xFFU));
}

void put32(Bytes& block, std::uint32_t value) {
  put16(block, value & 0xFFFFU);
  put16(block, value >> 16);
}

void pad(Bytes& block) {
  while (block.size() % 4 != 0) {
    block.push_back(0);
  }
}

void put_option(Bytes& block, std::uint16_t code, std::string_view value) {
  put16(block, code);
  put16(block, static_cast<std::uint32_t>(value.size()));
  block.insert(block.end(), value.begin(), value.end());
  pad(block);
}

// A damaged octet is one, though nobody knows which.
std::size_t size_of(const Record& record) {
  return std::max<std::size_t>(1, record.octets.size());
}

Bytes opened(BlockType type) {
  Bytes block;
  put32(block, type);
  put32(block, 0);  // its length, by closed()
  return block;
}

Bytes closed(Bytes block) {
  put32(block, 0);  // end of options
  const auto size = static_cast<std::uint32_t>(block.size() + 4);
  put32(block, size);
  for (std::size_t i = 0; i < 4; ++i) {
    block[4 + i] = static_cast<std::uint8_t>((size >> (8 * i)) & 0xFFU);
  }
  return block;
}

}  // namespace

Writer::Writer(FileHandle file, std::string path, bool created)
    : file_{std::move(file)},
      path_{std::move(path)},
      created_{created},
      cutter_{[this](Octets octets, Instant first, Instant last) {
        put(Record::Kind::kReceived, octets, first, last);
      }} {}

tl::expected<std::unique_ptr<Writer>, TraceError> Writer::create(const std::string& path) {
  auto file = open_ordinary(path, FileUse::kWrite);
  const bool missing = !file && file.error().reason == ENOENT;
  if (missing) {
    file = open_ordinary(path, FileUse::kCreate);
  }
  if (!file) {
    return tl::unexpected{file.error()};
  }
  return std::unique_ptr<Writer>{new Writer{std::move(*file), path, missing}};
}

Writer::~Writer() {
  if (created_ && !maker_) {
    std::error_code ignored;
    // Of a link what it leads to was created.
    const auto place = std::filesystem::canonical(path_, ignored);
    std::filesystem::remove(place, ignored);
  }
}

void Writer::begin(const Preamble& preamble, std::int64_t wall_us, Instant now) {
  wall_us_ = wall_us;
  began_ = now;
  if (maker_) {
    return;
  }
  carrier_ = preamble.carrier;
  maker_.emplace(carrier_);
  if (file_ != nullptr && ::ftruncate(::fileno(file_.get()), 0) != 0) {
    error_ = errno;
  }
  Bytes section = opened(kSection);
  put32(section, kByteOrderMagic);
  put16(section, 1);
  put16(section, 0);
  put32(section, 0xFFFFFFFF);  // length of the section: not told
  put32(section, 0xFFFFFFFF);
  put_option(section, kComment, to_text(preamble));
  put_option(section, kUserApplication, "strapline");
  write(closed(std::move(section)));

  Bytes interface = opened(kInterface);
  put16(interface, link_type(carrier_));
  put16(interface, 0);
  put32(interface, 0);  // no limit of a packet
  put_option(interface, kTimeResolution, "\x06");
  write(closed(std::move(interface)));
}

void Writer::sent(Octets octets, Instant now) {
  cutter_.flush();
  put(Record::Kind::kSent, octets, now, now);
}

void Writer::received(Octets octets, Instant now) {
  if (carrier_ == Carrier::kMbap) {
    put(Record::Kind::kReceived, octets, now, now);
  } else {
    cutter_.push(octets, now);
  }
}

void Writer::damaged(Instant now, std::optional<std::uint8_t> octet, bool parity) {
  cutter_.flush();
  put(Record::Kind::kDamaged, octet ? Octets{&*octet, 1} : Octets{}, now, now, parity);
}

void Writer::lost(Instant now) {
  cutter_.flush();
  put(Record::Kind::kLost, {}, now, now);
}

void Writer::put(Record::Kind kind, Octets octets, Instant first, Instant last, bool parity) {
  if (!maker_) {
    return;
  }
  const bool arrived = kind == Record::Kind::kReceived || kind == Record::Kind::kDamaged;
  if (!arrived) {
    end_row();
  }
  do {
    const Octets part = octets.first(std::min(octets.size(), kRecordSizeMax));
    octets = octets.subspan(part.size());
    Record record{kind, wall(last), wall(first), {part.begin(), part.end()}};
    record.parity = parity;
    if (arrived && in_a_row_ >= kInARowMax) {
      leave_out(std::move(record));
    } else {
      in_a_row_ += arrived ? size_of(record) : 0;
      put(record);
    }
  } while (!octets.empty());
}

void Writer::leave_out(Record record) {
  if (latest_) {
    record.left_out = latest_->left_out + size_of(*latest_);
  }
  latest_ = std::move(record);
}

void Writer::end_row() {
  if (latest_) {
    put(*latest_);
  }
  latest_.reset();
  in_a_row_ = 0;
}

void Writer::put(const Record& record) {
  const Bytes packet = maker_->packet(record);
  Bytes block = opened(kEnhancedPacket);
  put32(block, 0);  // the one interface
  const auto time = static_cast<std::uint64_t>(record.at_us);
  put32(block, static_cast<std::uint32_t>(time >> 32));
  put32(block, static_cast<std::uint32_t>(time & 0xFFFFFFFFU));
  put32(block, static_cast<std::uint32_t>(packet.size()));
  put32(block, static_cast<std::uint32_t>(packet.size()));
  block.insert(block.end(), packet.begin(), packet.end());
  pad(block);
  if (record.left_out > 0) {
    put_option(block, kComment, left_out_comment(record.left_out));
  }
  put16(block, kPacketFlags);
  put16(block, 4);
  put32(block, record.kind == Record::Kind::kSent ? kOutbound : kInbound);
  write(closed(std::move(block)));
}

void Writer::write(Octets octets) {
  if (error_ != 0 || file_ == nullptr) {
    return;
  }
  if (std::fwrite(octets.data(), 1, octets.size(), file_.get()) != octets.size() ||
      std::fflush(file_.get()) != 0) {
    error_ = errno == 0 ? EIO : errno;
  }
}

tl::expected<void, TraceError> Writer::close() {
  cutter_.flush();
  end_row();
  if (file_ != nullptr && std::fclose(file_.release()) != 0 && error_ == 0) {
    error_ = errno;
  }
  if (error_ != 0) {
    return tl::unexpected{
        TraceError{"the trace " + path_ + " is not whole: " + std::strerror(error_), {}, error_}};
  }
  return {};
}

}  // namespace host::link::trace
