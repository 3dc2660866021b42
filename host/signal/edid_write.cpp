#include "host/signal/edid_write.hpp"

#include <algorithm>
#include <numeric>
#include <span>

#include "host/signal/edid_codec.hpp"

namespace host::signal {
namespace {

using Block = std::array<std::uint8_t, kEdidBlockSize>;

constexpr std::size_t kChecksumAt = kEdidBlockSize - 1;

class Writer {
 public:
  void base(const Edid& edid);
  void extension(const CtaExtension& cta);
  void extension(const OtherExtension& other) {
    Block block{};
    std::ranges::copy(other.bytes, block.begin());
    put(block);
  }
  tl::expected<std::vector<std::uint8_t>, std::vector<EdidFault>> take() {
    if (!faults_.empty()) return tl::unexpected(std::move(faults_));
    return std::move(bytes_);
  }

 private:
  void put(Block block) {
    block[kChecksumAt] = static_cast<std::uint8_t>(0U - std::accumulate(block.begin(), block.end() - 1, 0U));
    bytes_.insert(bytes_.end(), block.begin(), block.end());
  }
  void descriptor(const Descriptor& value, Block& block, std::size_t at) {
    const auto encoded = encode_descriptor(value);
    if (encoded) {
      std::ranges::copy(*encoded, block.begin() + static_cast<std::ptrdiff_t>(at));
    } else {
      too_large(at, encoded.error(), "a value that its field holds");
    }
  }
  void too_large(std::size_t at, std::string found, std::string right) {
    faults_.push_back({EdidRule::kValueTooLarge, model::Severity::kFault, bytes_.size() + at,
                       std::move(found), std::move(right)});
  }

  std::vector<std::uint8_t> bytes_;
  std::vector<EdidFault> faults_;
};

void Writer::base(const Edid& edid) {
  Block block = {0, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0};
  const auto big = [&](std::size_t at, std::uint16_t value) {
    block.at(at) = static_cast<std::uint8_t>(value >> 8);
    block.at(at + 1) = static_cast<std::uint8_t>(value & 0xFF);
  };
  big(0x08, edid.maker);
  block[0x0A] = static_cast<std::uint8_t>(edid.product & 0xFF);
  block[0x0B] = static_cast<std::uint8_t>(edid.product >> 8);
  for (std::size_t i = 0; i < 4; ++i)
    block.at(0x0C + i) = static_cast<std::uint8_t>(edid.serial >> (8 * i) & 0xFF);
  block[0x10] = edid.week;
  block[0x11] = edid.year_code;
  block[0x12] = edid.version;
  block[0x13] = edid.revision;
  block[0x14] = edid.input;
  block[0x15] = edid.width_cm;
  block[0x16] = edid.height_cm;
  block[0x17] = edid.gamma_code;
  block[0x18] = edid.features;
  for (std::size_t i = 0; i < edid.chromaticity.size(); ++i) {
    const unsigned value = edid.chromaticity[i];
    if (value > 1023)
      too_large(0x1B + i, "a chromaticity of " + std::to_string(value) + "/1024", "0 to 1023");
    block.at(0x19 + i / 4) |= static_cast<std::uint8_t>((value & 3) << (6 - 2 * (i % 4)));
    block.at(0x1B + i) = static_cast<std::uint8_t>(value >> 2);
  }
  std::ranges::copy(edid.established, block.begin() + 0x23);
  for (std::size_t i = 0; i < edid.standard.size(); ++i) big(0x26 + 2 * i, edid.standard[i]);
  for (std::size_t i = 0; i < edid.descriptors.size(); ++i) {
    descriptor(edid.descriptors[i], block, kDescriptorsAt + i * kDescriptorSize);
  }
  block[0x7E] = edid.extension_count;
  put(block);
}

void Writer::extension(const CtaExtension& cta) {
  Block block = {2, cta.revision, 0, cta.flags};
  std::size_t position = 4;
  // Room is counted before anything is written.
  std::size_t needed = position + cta.descriptors.size() * kDescriptorSize + cta.tail.size();
  for (const DataBlock& data : cta.blocks) {
    if (data.payload.size() > 31 || data.tag > 7) {
      too_large(position,
                "a data block with tag " + std::to_string(data.tag) + " and " +
                    std::to_string(data.payload.size()) + " bytes",
                "a tag up to 7 and 31 bytes at most");
      return;
    }
    needed += 1 + data.payload.size();
  }
  if (needed > kChecksumAt) {
    too_large(0, "a CTA extension of " + std::to_string(needed) + " bytes",
              "127 at most; take blocks or timings out");
    return;
  }
  if (cta.nothing_follows && needed != position + cta.tail.size()) {
    too_large(2, "an extension that says that nothing follows, with blocks or timings", "none of them");
    return;
  }
  for (const DataBlock& data : cta.blocks) {
    block.at(position) = static_cast<std::uint8_t>(std::size_t{data.tag} << 5 | data.payload.size());
    std::ranges::copy(data.payload, block.begin() + static_cast<std::ptrdiff_t>(position + 1));
    position += 1 + data.payload.size();
  }
  if (!cta.nothing_follows) block[2] = static_cast<std::uint8_t>(position);
  for (const Descriptor& value : cta.descriptors) {
    descriptor(value, block, position);
    position += kDescriptorSize;
  }
  std::ranges::copy(cta.tail, block.begin() + static_cast<std::ptrdiff_t>(position));
  put(block);
}

}  // namespace

tl::expected<std::vector<std::uint8_t>, std::vector<EdidFault>> write_edid(const Edid& edid) {
  Writer writer;
  writer.base(edid);
  for (const Extension& extension : edid.extensions) {
    std::visit([&](const auto& value) { writer.extension(value); }, extension);
  }
  return writer.take();
}

}  // namespace host::signal
