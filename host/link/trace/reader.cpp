#include "host/link/trace/reader.hpp"

#include <array>
#include <cerrno>
#include <string_view>

#include <fmt/core.h>

#include "host/link/trace/packet.hpp"
#include "host/link/trace/preamble.hpp"

namespace host::link::trace {

namespace {

using Bytes = std::vector<std::uint8_t>;

enum BlockType : std::uint32_t { kSection = 0x0A0D0D0A, kInterface = 1, kEnhancedPacket = 6 };
constexpr std::size_t kBlockSizeMin = 12;
constexpr std::size_t kBlockSizeMax = 64 * 1024;
constexpr std::size_t kInterfacesMax = 64;
constexpr std::uint16_t kComment = 1;
constexpr std::uint16_t kTimeResolution = 9;
constexpr const char* kNoTrace = "give a whole pcapng capture, such as --trace writes";

std::string remedy_of(int reason) {
  switch (reason) {
    case ENOENT:
    case ENOTDIR: return "check the path";
    case EACCES:
    case EPERM: return "give yourself the right (chmod +r), or ask its owner";
    case EISDIR:
    case EINVAL: return "give a file that --trace has written";
    default: return "check the disk and the path";
  }
}

}  // namespace

TraceError Reader::broken(const std::string& what) const {
  return {fmt::format("{} is no whole trace: {} at octet {}", path_, what, place_), kNoTrace};
}

std::uint32_t Reader::get(const Bytes& octets, std::size_t at, std::size_t size) const {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < size; ++i) {
    value = (value << 8) | octets[big_endian_ ? at + i : at + size - 1 - i];
  }
  return value;
}

tl::expected<std::unique_ptr<Reader>, TraceError> Reader::open(const std::string& path) {
  auto file = open_ordinary(path, FileUse::kRead);
  if (!file) {
    file.error().remedy = remedy_of(file.error().reason);
    return tl::unexpected{file.error()};
  }
  std::unique_ptr<Reader> reader{new Reader{std::move(*file), path}};
  while (!reader->carrier_) {
    const auto block = reader->next_block();
    if (!block) {
      return tl::unexpected{block.error()};
    }
    if (!*block) {
      break;
    }
    if ((*block)->type == kInterface && !reader->interface((*block)->body)) {
      return tl::unexpected{reader->broken("an interface that can't be")};
    }
  }
  return reader;
}

tl::expected<std::optional<Reader::Block>, TraceError> Reader::next_block() {
  std::array<std::uint8_t, kBlockSizeMin> head{};
  const std::size_t got = std::fread(head.data(), 1, head.size(), file_.get());
  if (got == 0 && !first_section_) {
    return std::optional<Block>{};
  }
  const Bytes octets(head.begin(), head.end());
  // A section's type reads the same both ways; its third word tells the order of octets.
  const bool is_section = got == head.size() && get(octets, 0, 4) == kSection;
  if (first_section_ && !is_section) {
    return tl::unexpected{TraceError{path_ + " is no pcapng capture", kNoTrace}};
  }
  if (got < head.size()) {
    return tl::unexpected{broken("a block cut short")};
  }
  if (is_section) {
    big_endian_ = head[8] == 0x1A;
    const std::uint32_t magic = get(octets, 8, 4);
    if (magic != 0x1A2B3C4D) {
      return tl::unexpected{broken("no order of octets")};
    }
  }
  const std::uint32_t size = get(octets, 4, 4);
  if (size < kBlockSizeMin || size % 4 != 0) {
    return tl::unexpected{broken(fmt::format("a block of {} octets", size))};
  }
  Block block{get(octets, 0, 4), {}};
  if (size > kBlockSizeMax) {
    if (is_section || block.type == kInterface || block.type == kEnhancedPacket) {
      return tl::unexpected{broken(fmt::format("a block of {} octets", size))};
    }
    // Somebody else's; stepped over without holding it. A step beyond the end succeeds, its last word tells.
    Bytes last(4);
    if (std::fseek(file_.get(), static_cast<long>(size - kBlockSizeMin - last.size()), SEEK_CUR) != 0 ||
        std::fread(last.data(), 1, last.size(), file_.get()) != last.size()) {
      return tl::unexpected{broken("a block cut short")};
    }
    if (get(last, 0, last.size()) != size) {
      return tl::unexpected{broken("a block that ends otherwise than it begins")};
    }
    block.type = 0;
  } else {
    block.body.resize(size - 8);
    std::copy(head.begin() + 8, head.end(), block.body.begin());
    const std::size_t rest = size - kBlockSizeMin;
    if (std::fread(block.body.data() + 4, 1, rest, file_.get()) != rest) {
      return tl::unexpected{broken("a block cut short")};
    }
    if (get(block.body, block.body.size() - 4, 4) != size) {
      return tl::unexpected{broken("a block that ends otherwise than it begins")};
    }
    block.body.resize(block.body.size() - 4);
  }
  place_ += size;
  if (is_section) {
    section(block.body);
  }
  return std::optional{std::move(block)};
}

template <typename Take>
void Reader::options(const Bytes& body, std::size_t at, Take take) const {
  while (at + 4 <= body.size()) {
    const std::uint32_t code = get(body, at, 2);
    const std::uint32_t size = get(body, at + 2, 2);
    at += 4;
    if (code == 0 || at + size > body.size()) {
      return;
    }
    take(code, std::string_view{reinterpret_cast<const char*>(body.data()) + at, size});
    at += (std::size_t{size} + 3) / 4 * 4;
  }
}

void Reader::section(const Bytes& body) {
  interfaces_.clear();
  constexpr std::size_t kOptionsAt = 16;  // magic, version, length of the section
  if (first_section_) {
    options(body, kOptionsAt, [&](std::uint32_t code, std::string_view value) {
      if (code == kComment && !preamble_) {
        preamble_ = preamble_of(value);
      }
    });
  }
  first_section_ = false;
}

bool Reader::interface(const Bytes& body) {
  constexpr std::size_t kOptionsAt = 8;
  if (body.size() < kOptionsAt || interfaces_.size() >= kInterfacesMax) {
    return false;
  }
  Interface found;
  found.type = static_cast<std::uint16_t>(get(body, 0, 2));
  bool sound = true;
  options(body, kOptionsAt, [&](std::uint32_t code, std::string_view value) {
    if (code != kTimeResolution || value.size() != 1) {
      return;
    }
    const auto exponent = static_cast<unsigned>(static_cast<unsigned char>(value[0]) & 0x7FU);
    const bool binary = (static_cast<unsigned char>(value[0]) & 0x80U) != 0;
    constexpr unsigned kDecimalMax = 9;
    constexpr unsigned kBinaryMax = 32;
    sound = exponent <= (binary ? kBinaryMax : kDecimalMax);
    found.ticks_a_second = 1;
    for (unsigned i = 0; sound && i < exponent; ++i) {
      found.ticks_a_second *= binary ? 2 : 10;
    }
  });
  if (!carrier_ && found.type == kLinkTypeRtac) {
    carrier_ = Carrier::kRtu;
  } else if (!carrier_ && found.type == kLinkTypeRaw) {
    carrier_ = Carrier::kMbap;
  }
  interfaces_.push_back(found);
  return sound;
}

std::optional<Record> Reader::packet(const Bytes& body) {
  constexpr std::size_t kHeaderSize = 20;
  if (body.size() < kHeaderSize) {
    return std::nullopt;
  }
  const std::uint32_t which = get(body, 0, 4);
  const std::uint64_t ticks = (std::uint64_t{get(body, 4, 4)} << 32) | get(body, 8, 4);
  const std::uint32_t captured = get(body, 12, 4);
  if (which >= interfaces_.size() || captured > body.size() - kHeaderSize || captured != get(body, 16, 4)) {
    return std::nullopt;
  }
  const Interface& from = interfaces_[which];
  const std::uint64_t seconds = ticks / from.ticks_a_second;
  constexpr std::uint64_t kSecondsMax = 1ULL << 33;  // year 2242
  if (seconds > kSecondsMax) {
    return std::nullopt;
  }
  const std::uint64_t parts = ticks % from.ticks_a_second;
  const auto at_us = static_cast<std::int64_t>(seconds * 1'000'000 + parts * 1'000'000 / from.ticks_a_second);
  auto record = record_of(from.type, protocol::base::Octets{body}.subspan(kHeaderSize, captured), at_us);
  const std::size_t options_at = kHeaderSize + (std::size_t{captured} + 3) / 4 * 4;
  if (record && options_at <= body.size()) {
    options(body, options_at, [&](std::uint32_t code, std::string_view value) {
      if (code == kComment) {
        record->left_out = left_out_of(value);
      }
    });
  }
  return record;
}

tl::expected<std::optional<Record>, TraceError> Reader::next() {
  while (true) {
    const auto block = next_block();
    if (!block) {
      return tl::unexpected{block.error()};
    }
    if (!*block) {
      return std::optional<Record>{};
    }
    const Bytes& body = (*block)->body;
    if ((*block)->type == kInterface && !interface(body)) {
      return tl::unexpected{broken("an interface that can't be")};
    }
    if ((*block)->type != kEnhancedPacket) {
      continue;
    }
    if (auto record = packet(body)) {
      return record;
    }
    ++others_;
  }
}

}  // namespace host::link::trace
