#include "host/signal/cta_fields.hpp"

#include <span>

#include "host/signal/edid_timings.hpp"
#include "host/signal/hdmi_block.hpp"

namespace host::signal {
namespace {

std::string video_codes(std::span<const std::uint8_t> payload) {
  std::string result;
  for (const std::uint8_t byte : payload) {
    const auto code = video_code(byte);
    result += (result.empty() ? "" : ", ") +
              (code ? std::to_string(code->code) : "reserved " + std::to_string(byte)) +
              (code && code->native ? " native" : "");
  }
  return result.empty() ? "none" : result;
}

std::string audio_format(std::uint8_t first, std::uint8_t rates, std::uint8_t third) {
  const int format = first >> 3 & 15;
  std::string text = (format == 1 ? "lpcm " : "format " + std::to_string(format) + ' ') +
                     std::to_string((first & 7) + 1) + " channels, kHz: " +
                     FieldList::joined({{(rates & 1) != 0, "32"},
                                        {(rates & 2) != 0, "44.1"},
                                        {(rates & 4) != 0, "48"},
                                        {(rates & 8) != 0, "88.2"},
                                        {(rates & 16) != 0, "96"},
                                        {(rates & 32) != 0, "176.4"},
                                        {(rates & 64) != 0, "192"}});
  if (format == 1) {
    text += ", bits: " +
            FieldList::joined({{(third & 1) != 0, "16"}, {(third & 2) != 0, "20"}, {(third & 4) != 0, "24"}});
  }
  return text;
}

std::string speakers(std::uint8_t first) {
  return FieldList::joined({{(first & 1) != 0, "FL/FR"},
                            {(first & 2) != 0, "LFE"},
                            {(first & 4) != 0, "FC"},
                            {(first & 8) != 0, "RL/RR"},
                            {(first & 16) != 0, "RC"},
                            {(first & 32) != 0, "FLC/FRC"},
                            {(first & 64) != 0, "RLC/RRC"}});
}

void add_block(FieldList& fields, const std::string& prefix, const DataBlock& block, std::size_t at) {
  const std::span<const std::uint8_t> payload = block.payload;
  if (block.tag == kVideoTag) {
    fields.add(prefix + "kind", "video", at);
    fields.add(prefix + "codes", video_codes(payload), at + 1);
  } else if (block.tag == kAudioTag && payload.size() % 3 == 0) {
    fields.add(prefix + "kind", "audio", at);
    for (std::size_t i = 0; i < payload.size(); i += 3) {
      fields.add(prefix + "format." + std::to_string(i / 3 + 1),
                 audio_format(payload[i], payload[i + 1], payload[i + 2]), at + 1 + i);
    }
  } else if (block.tag == kSpeakerTag && payload.size() == 3) {
    fields.add(prefix + "kind", "speakers", at);
    fields.add(prefix + "speakers", speakers(payload[0]), at + 1);
  } else if (const auto address = hdmi_address(block)) {
    fields.add(prefix + "kind", "hdmi", at);
    fields.add(prefix + "address", *address, at + 4);
    fields.add(prefix + "bytes", FieldList::hex_of(payload), at + 1);
  } else if (block.tag == kExtendedTag && payload.size() == 2 && payload[0] == kVideoCapability) {
    fields.add(prefix + "kind", "video-capability", at);
    fields.add(prefix + "rgb_range_selectable", FieldList::yes_or_no((payload[1] & 0x40) != 0), at + 2);
    fields.add(prefix + "bytes", FieldList::hex_of(payload), at + 1);
  } else {
    fields.add(prefix + "kind", "other", at);
    fields.add(prefix + "tag", std::to_string(block.tag), at);
    fields.add(prefix + "bytes", FieldList::hex_of(payload), at + 1);
  }
}

}  // namespace

void add_cta_fields(FieldList& fields, const std::string& prefix, const CtaExtension& cta, std::size_t at) {
  fields.add(prefix + "kind", "cta-861", at);
  fields.add(prefix + "revision", std::to_string(cta.revision), at + 1);
  fields.add(prefix + "underscan", FieldList::yes_or_no((cta.flags & 0x80) != 0), at + 3);
  fields.add(prefix + "basic_audio", FieldList::yes_or_no((cta.flags & 0x40) != 0), at + 3);
  fields.add(prefix + "ycbcr",
             FieldList::joined({{(cta.flags & 0x20) != 0, "4:4:4"}, {(cta.flags & 0x10) != 0, "4:2:2"}}),
             at + 3);
  fields.add(prefix + "native_timings", std::to_string(cta.flags & 15), at + 3);
  std::size_t position = at + 4;
  for (std::size_t i = 0; i < cta.blocks.size(); ++i) {
    add_block(fields, prefix + "block." + std::to_string(i + 1) + '.', cta.blocks[i], position);
    position += 1 + cta.blocks[i].payload.size();
  }
  for (std::size_t i = 0; i < cta.descriptors.size(); ++i) {
    fields.descriptor(prefix + "descriptor." + std::to_string(i + 1) + '.', cta.descriptors[i], position);
    position += kDescriptorSize;
  }
  if (!cta.tail.empty()) fields.add(prefix + "tail", FieldList::hex_of(cta.tail), position);
}

}  // namespace host::signal
