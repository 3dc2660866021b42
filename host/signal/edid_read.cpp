#include "host/signal/edid_read.hpp"

#include <algorithm>
#include <numeric>
#include <string>

#include "host/signal/edid_codec.hpp"
#include "host/signal/hex.hpp"

namespace host::signal {
namespace {

using Bytes = std::span<const std::uint8_t>;

constexpr std::array<std::uint8_t, 8> kHeader = {0, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0};
constexpr std::size_t kChecksumAt = kEdidBlockSize - 1;
constexpr std::uint8_t kCtaTag = 2;

class Faults {
 public:
  void add(EdidRule rule, std::size_t offset, std::string found, std::string right) {
    faults_.push_back({rule, model::Severity::kFault, offset, std::move(found), std::move(right)});
  }
  std::vector<EdidFault> take() { return std::move(faults_); }

 private:
  std::vector<EdidFault> faults_;
};

void check_sum(Bytes block, std::size_t at, Faults& faults) {
  const auto rest = block.first(kChecksumAt);
  const unsigned sum = std::accumulate(rest.begin(), rest.end(), 0U);
  const auto right = static_cast<std::uint8_t>(0U - sum);
  if (block[kChecksumAt] != right) {
    faults.add(EdidRule::kChecksum, at + kChecksumAt, "checksum " + hex(block[kChecksumAt]), hex(right));
  }
}

Descriptor read_descriptor(Bytes block, std::size_t offset, std::size_t at, Faults& faults) {
  DescriptorBytes bytes{};
  std::ranges::copy(block.subspan(offset, kDescriptorSize), bytes.begin());
  Descriptor descriptor = decode_descriptor(bytes);
  if (std::holds_alternative<OtherDescriptor>(descriptor)) {
    if (auto why = why_not_decoded(bytes)) {
      const bool timing = bytes[0] != 0 || bytes[1] != 0;
      faults.add(
          EdidRule::kDescriptor, at + offset,
          timing ? "a detailed timing: " + *why : "a descriptor with tag " + hex(bytes[3]) + " of wrong form",
          timing ? "active pixels, and a blanking that holds front porch and sync" : *why);
    }
  }
  return descriptor;
}

std::uint16_t chromaticity(Bytes block, std::size_t index) {
  // 19h and 1Ah hold the low two bits of four values each, the first in bits 7-6; then come the high eight.
  const int low = block[0x19 + index / 4] >> (6 - 2 * (index % 4)) & 3;
  return static_cast<std::uint16_t>(block[0x1B + index] << 2 | low);
}

Edid read_base(Bytes block, Faults& faults) {
  const auto little = [&](std::size_t at) {
    return static_cast<std::uint16_t>(block[at] | block[at + 1] << 8);
  };
  const auto big = [&](std::size_t at) { return static_cast<std::uint16_t>(block[at] << 8 | block[at + 1]); };
  Edid edid;
  edid.maker = big(0x08);
  edid.product = little(0x0A);
  edid.serial = little(0x0C) | std::uint32_t{little(0x0E)} << 16;
  edid.week = block[0x10];
  edid.year_code = block[0x11];
  edid.version = block[0x12];
  edid.revision = block[0x13];
  edid.input = block[0x14];
  edid.width_cm = block[0x15];
  edid.height_cm = block[0x16];
  edid.gamma_code = block[0x17];
  edid.features = block[0x18];
  for (std::size_t i = 0; i < edid.chromaticity.size(); ++i) edid.chromaticity[i] = chromaticity(block, i);
  std::ranges::copy(block.subspan(0x23, 3), edid.established.begin());
  for (std::size_t i = 0; i < edid.standard.size(); ++i) edid.standard[i] = big(0x26 + 2 * i);
  for (std::size_t i = 0; i < edid.descriptors.size(); ++i) {
    edid.descriptors[i] = read_descriptor(block, kDescriptorsAt + i * kDescriptorSize, 0, faults);
  }
  edid.extension_count = block[0x7E];
  return edid;
}

OtherExtension as_it_stands(Bytes block) {
  OtherExtension other;
  std::ranges::copy(block.first(kChecksumAt), other.bytes.begin());
  return other;
}

Extension read_cta(Bytes block, std::size_t at, Faults& faults) {
  const std::size_t details = block[2];
  if (details != 0 && (details < 4 || details > kChecksumAt)) {
    faults.add(EdidRule::kDataBlock, at + 2,
               "timings from byte " + std::to_string(details) + " of the extension", "0, or 4 to 127");
    return as_it_stands(block);
  }
  CtaExtension cta;
  cta.revision = block[1];
  cta.flags = block[3];
  cta.nothing_follows = details == 0;
  std::size_t position = 4;
  while (position < details) {
    const std::size_t length = block[position] & 31U;
    if (position + 1 + length > details) {
      faults.add(EdidRule::kDataBlock, at + position,
                 "a data block of " + std::to_string(length) + " bytes, " +
                     std::to_string(details - position - 1) + " before the timings",
                 "data blocks that end where the timings start");
      return as_it_stands(block);
    }
    const auto payload = block.subspan(position + 1, length);
    cta.blocks.push_back({static_cast<std::uint8_t>(block[position] >> 5),
                          std::vector<std::uint8_t>(payload.begin(), payload.end())});
    position += 1 + length;
  }
  while (!cta.nothing_follows && position + kDescriptorSize <= kChecksumAt) {
    const auto bytes = block.subspan(position, kDescriptorSize);
    // Zeros end the list; a descriptor that is no timing has a tag in its fourth byte.
    if (bytes[0] == 0 && bytes[1] == 0 && bytes[3] == 0) break;
    cta.descriptors.push_back(read_descriptor(block, position, at, faults));
    position += kDescriptorSize;
  }
  const auto tail = block.subspan(position, kChecksumAt - position);
  const auto stray = std::ranges::find_if(tail, [](std::uint8_t byte) { return byte != 0; });
  if (stray != tail.end()) {
    const auto offset = position + static_cast<std::size_t>(stray - tail.begin());
    faults.add(EdidRule::kPadding, at + offset, hex(*stray) + " behind the last timing",
               "zeros up to the checksum");
    cta.tail.assign(tail.begin(), tail.end());
  }
  return cta;
}

}  // namespace

EdidReading read_edid(std::span<const std::uint8_t> bytes) {
  EdidReading reading;
  Faults faults;
  if (bytes.size() < kEdidBlockSize) {
    faults.add(EdidRule::kLength, bytes.size(), std::to_string(bytes.size()) + " bytes",
               "128, and 128 an extension");
    reading.faults = faults.take();
    return reading;
  }
  const auto differs = std::ranges::mismatch(kHeader, bytes.first(kHeader.size())).in1;
  if (differs != kHeader.end()) {
    const auto at = static_cast<std::size_t>(differs - kHeader.begin());
    faults.add(EdidRule::kHeader, at, hex(bytes[at]) + " in the header", hex(kHeader.at(at)));
    reading.faults = faults.take();
    return reading;
  }
  if (bytes.size() % kEdidBlockSize != 0) {
    faults.add(EdidRule::kLength, bytes.size() / kEdidBlockSize * kEdidBlockSize,
               std::to_string(bytes.size()) + " bytes, the last block being cut off", "whole blocks of 128");
  }
  check_sum(bytes.first(kEdidBlockSize), 0, faults);
  Edid edid = read_base(bytes.first(kEdidBlockSize), faults);
  const std::size_t blocks = bytes.size() / kEdidBlockSize;
  if (edid.extension_count + 1U != blocks) {
    faults.add(EdidRule::kExtensionCount, 0x7E, std::to_string(edid.extension_count) + " extensions told",
               std::to_string(blocks - 1) + ", as many as follow");
  }
  for (std::size_t index = 1; index < blocks; ++index) {
    const std::size_t at = index * kEdidBlockSize;
    const auto block = bytes.subspan(at, kEdidBlockSize);
    check_sum(block, at, faults);
    edid.extensions.push_back(block[0] == kCtaTag ? read_cta(block, at, faults)
                                                  : Extension(as_it_stands(block)));
  }
  reading.edid = std::move(edid);
  reading.faults = faults.take();
  return reading;
}

}  // namespace host::signal
