#include "host/signal/edid_codec.hpp"

#include <algorithm>

namespace host::signal {
namespace {

using Encoded = tl::expected<DescriptorBytes, std::string>;

constexpr std::uint8_t kInterlaced = 0x80;
constexpr std::uint8_t kVPositive = 0x04;
constexpr std::uint8_t kHPositive = 0x02;
constexpr std::uint8_t kOtherFlags = 0x79;
constexpr std::size_t kTextAt = 5;
constexpr std::size_t kTextSize = 13;

std::uint8_t byte(std::int64_t value) {
  return static_cast<std::uint8_t>(value & 0xFF);
}

// Figures of a detailed timing as they stand, vertical ones of one field.
struct Raw {
  std::int64_t clock, h_active, h_blank, h_front, h_sync, v_active, v_blank, v_front, v_sync;
};

Raw raw_of(const DescriptorBytes& b) {
  const auto high = [](std::uint8_t value, int shift, int mask) {
    return std::int64_t{value >> shift & mask} << 8;
  };
  return {b[0] | std::int64_t{b[1]} << 8, b[2] | high(b[4], 4, 15),
          b[3] | high(b[4], 0, 15),       b[8] | high(b[11], 6, 3),
          b[9] | high(b[11], 4, 3),       b[5] | high(b[7], 4, 15),
          b[6] | high(b[7], 0, 15),       (b[10] >> 4) | (b[11] >> 2 & 3) << 4,
          (b[10] & 15) | (b[11] & 3) << 4};
}

std::optional<std::string> why_no_timing(const DescriptorBytes& b) {
  const Raw raw = raw_of(b);
  if (raw.h_active == 0 || raw.v_active == 0) return "it has no active pixels";
  if (raw.h_front + raw.h_sync + b[15] > raw.h_blank)
    return "horizontal front porch and sync exceed the blanking";
  if (raw.v_front + raw.v_sync + b[16] > raw.v_blank)
    return "vertical front porch and sync exceed the blanking";
  return std::nullopt;
}

DetailedTiming decode_timing(const DescriptorBytes& b) {
  const Raw raw = raw_of(b);
  DetailedTiming result;
  model::Timing& timing = result.timing;
  timing.interlaced = (b[17] & kInterlaced) != 0;
  // Two fields make a frame with a whole line more, which is counted to the front porch.
  const std::int64_t fields = timing.interlaced ? 2 : 1;
  timing.pixel_clock = {raw.clock * 10'000};
  timing.h_active = {raw.h_active};
  timing.h_front = {raw.h_front + b[15]};
  timing.h_sync = {raw.h_sync};
  timing.h_back = {raw.h_blank - raw.h_front - raw.h_sync - b[15]};
  timing.v_active = {raw.v_active * fields};
  timing.v_front = {(raw.v_front + b[16]) * fields + (fields - 1)};
  timing.v_sync = {raw.v_sync * fields};
  timing.v_back = {(raw.v_blank - raw.v_front - raw.v_sync - b[16]) * fields};
  timing.h_polarity = (b[17] & kHPositive) != 0 ? model::Polarity::kPositive : model::Polarity::kNegative;
  timing.v_polarity = (b[17] & kVPositive) != 0 ? model::Polarity::kPositive : model::Polarity::kNegative;
  result.width_mm = b[12] | (b[14] & 0xF0) << 4;
  result.height_mm = b[13] | (b[14] & 0x0F) << 8;
  result.h_border = b[15];
  result.v_border = b[16];
  result.other_flags = b[17] & kOtherFlags;
  return result;
}

// The first figure outside its field.
class Fields {
 public:
  std::int64_t take(const char* name, std::int64_t value, std::int64_t max, std::int64_t min = 0) {
    if ((value < min || value > max) && !wrong_) {
      wrong_ = std::string(name) + " is " + std::to_string(value) + ", an EDID holds " + std::to_string(min) +
               " to " + std::to_string(max);
    }
    return value;
  }
  void require(bool holds, const char* sentence) {
    if (!holds && !wrong_) wrong_ = sentence;
  }
  [[nodiscard]] Encoded give(const DescriptorBytes& bytes) const {
    if (wrong_) return tl::unexpected(*wrong_);
    return bytes;
  }

 private:
  std::optional<std::string> wrong_;
};

Encoded encode(const DetailedTiming& detailed) {
  const model::Timing& timing = detailed.timing;
  const std::int64_t fields_count = timing.interlaced ? 2 : 1;
  Fields fields;
  const auto field = [&](model::Pixels frame) {
    fields.require(frame.count % fields_count == 0,
                   "the two fields of an interlaced timing differ by more than a line");
    return frame.count / fields_count;
  };
  const std::int64_t clock = fields.take("the pixel clock in units of 10 kHz",
                                         (timing.pixel_clock.count + 5'000) / 10'000, 65535, 1);
  const std::int64_t h_active = fields.take("the active width", timing.h_active.count, 4095, 1);
  const std::int64_t h_blank =
      fields.take("the horizontal blanking", timing.h_total().count - timing.h_active.count, 4095);
  const std::int64_t h_front =
      fields.take("the horizontal front porch", timing.h_front.count - detailed.h_border, 1023);
  const std::int64_t h_sync = fields.take("the horizontal sync", timing.h_sync.count, 1023);
  const std::int64_t v_active = fields.take("the active height", field(timing.v_active), 4095, 1);
  const std::int64_t front = field(timing.v_front - model::Pixels{fields_count - 1});
  const std::int64_t v_sync = fields.take("the vertical sync", field(timing.v_sync), 63);
  const std::int64_t v_blank =
      fields.take("the vertical blanking", front + v_sync + field(timing.v_back), 4095);
  const std::int64_t v_front = fields.take("the vertical front porch", front - detailed.v_border, 63);
  fields.take("the horizontal back porch", timing.h_back.count, 4095);
  fields.take("the vertical back porch", timing.v_back.count, 8190);
  const std::int64_t width = fields.take("the width in mm", detailed.width_mm, 4095);
  const std::int64_t height = fields.take("the height in mm", detailed.height_mm, 4095);
  fields.take("the horizontal border", detailed.h_border, 255);
  fields.take("the vertical border", detailed.v_border, 255);
  int flags = detailed.other_flags & kOtherFlags;
  if (timing.interlaced) flags |= kInterlaced;
  if (timing.v_polarity == model::Polarity::kPositive) flags |= kVPositive;
  if (timing.h_polarity == model::Polarity::kPositive) flags |= kHPositive;
  return fields.give({byte(clock), byte(clock >> 8), byte(h_active), byte(h_blank),
                      byte((h_active >> 8) << 4 | h_blank >> 8), byte(v_active), byte(v_blank),
                      byte((v_active >> 8) << 4 | v_blank >> 8), byte(h_front), byte(h_sync),
                      byte((v_front & 15) << 4 | (v_sync & 15)),
                      byte((h_front >> 8) << 6 | (h_sync >> 8) << 4 | (v_front >> 4) << 2 | v_sync >> 4),
                      byte(width), byte(height), byte((width >> 8) << 4 | height >> 8),
                      byte(detailed.h_border), byte(detailed.v_border), byte(flags)});
}

bool printable(char c) {
  return c >= 0x20 && c < 0x7F;
}

DisplayText decode_text(const DescriptorBytes& b) {
  DisplayText result;
  result.kind = static_cast<TextKind>(b[3]);
  const auto end = std::find(b.begin() + kTextAt, b.end(), std::uint8_t{0x0A});
  result.text.assign(b.begin() + kTextAt, end);
  return result;
}

Encoded encode(const DisplayText& text) {
  Fields fields;
  fields.take("the length of a text", static_cast<std::int64_t>(text.text.size()), kTextSize);
  fields.require(std::ranges::all_of(text.text, printable), "a text holds printable ASCII characters only");
  DescriptorBytes bytes{};
  bytes[3] = static_cast<std::uint8_t>(text.kind);
  std::fill(bytes.begin() + kTextAt, bytes.end(), std::uint8_t{0x20});
  for (std::size_t i = 0; i < text.text.size() && i < kTextSize; ++i) {
    bytes.at(kTextAt + i) = static_cast<std::uint8_t>(text.text[i]);
  }
  if (text.text.size() < kTextSize) bytes.at(kTextAt + text.text.size()) = 0x0A;
  return fields.give(bytes);
}

RangeLimits decode_range(const DescriptorBytes& b) {
  const auto offset = [&](int shift, int bit) { return (b[4] >> shift & bit) != 0 ? 255 : 0; };
  RangeLimits limits;
  limits.v_min_hz = b[5] + ((b[4] & 3) == 3 ? 255 : 0);
  limits.v_max_hz = b[6] + offset(0, 2);
  limits.h_min_khz = b[7] + ((b[4] >> 2 & 3) == 3 ? 255 : 0);
  limits.h_max_khz = b[8] + offset(2, 2);
  limits.pixel_clock_max_mhz = b[9] * 10;
  limits.formula = static_cast<RangeFormula>(b[10]);
  std::copy(b.begin() + 11, b.end(), limits.details.begin());
  return limits;
}

Encoded encode(const RangeLimits& limits) {
  Fields fields;
  const auto offsets = [&](const char* name, int min, int max) {
    fields.take(name, min, 510, 1);
    fields.take(name, max, 510, 1);
    fields.require(min <= 255 || max > 255, "a lower limit above 255 needs an upper one above 255");
    return max > 255 ? (min > 255 ? 3 : 2) : 0;
  };
  const int v = offsets("a vertical limit in Hz", limits.v_min_hz, limits.v_max_hz);
  const int h = offsets("a horizontal limit in kHz", limits.h_min_khz, limits.h_max_khz);
  fields.take("the clock limit in MHz", limits.pixel_clock_max_mhz, 2550);
  fields.require(limits.pixel_clock_max_mhz % 10 == 0, "the clock limit is not a multiple of 10 MHz");
  DescriptorBytes bytes{};
  bytes[3] = 0xFD;
  bytes[4] = byte(v | h << 2);
  bytes[5] = byte(limits.v_min_hz - (v == 3 ? 255 : 0));
  bytes[6] = byte(limits.v_max_hz - (v != 0 ? 255 : 0));
  bytes[7] = byte(limits.h_min_khz - (h == 3 ? 255 : 0));
  bytes[8] = byte(limits.h_max_khz - (h != 0 ? 255 : 0));
  bytes[9] = byte(limits.pixel_clock_max_mhz / 10);
  bytes[10] = static_cast<std::uint8_t>(limits.formula);
  std::ranges::copy(limits.details, bytes.begin() + 11);
  return fields.give(bytes);
}

Encoded encode(const DummyDescriptor& /*dummy*/) {
  DescriptorBytes bytes{};
  bytes[3] = 0x10;
  return bytes;
}

Encoded encode(const OtherDescriptor& other) {
  return other.bytes;
}

Descriptor decode_as_told(const DescriptorBytes& bytes) {
  if (bytes[0] != 0 || bytes[1] != 0) {
    if (why_no_timing(bytes)) return OtherDescriptor{bytes};
    return decode_timing(bytes);
  }
  switch (bytes[3]) {
    case 0xFF:
    case 0xFE:
    case 0xFC: return decode_text(bytes);
    case 0xFD:
      if (bytes[10] > 4 || bytes[10] == 3) break;
      return decode_range(bytes);
    case 0x10: return DummyDescriptor{};
    default: break;
  }
  return OtherDescriptor{bytes};
}

}  // namespace

Descriptor decode_descriptor(const DescriptorBytes& bytes) {
  Descriptor descriptor = decode_as_told(bytes);
  const auto again = encode_descriptor(descriptor);
  if (!again || *again != bytes) return OtherDescriptor{bytes};
  return descriptor;
}

std::optional<std::string> why_not_decoded(const DescriptorBytes& bytes) {
  if (bytes[0] != 0 || bytes[1] != 0) {
    if (auto why = why_no_timing(bytes)) return why;
    return std::nullopt;
  }
  switch (bytes[3]) {
    case 0xFF:
    case 0xFE:
    case 0xFC:
      return "a text ends with 0Ah, is filled up with 20h and holds printable ASCII, its bytes 2 and 4 zero";
    case 0xFD: return "range limits have offsets 0, 2 or 3, limits above 0 and a formula 0, 1, 2 or 4";
    case 0x10: return "a dummy has zeros only behind its tag";
    default: return std::nullopt;
  }
}

Encoded encode_descriptor(const Descriptor& descriptor) {
  return std::visit([](const auto& value) { return encode(value); }, descriptor);
}

}  // namespace host::signal
