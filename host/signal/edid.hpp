#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "host/model/finding.hpp"
#include "host/model/timing.hpp"

/// The values of an EDID. Source for all of it: VESA Enhanced EDID Standard, Release A, Revision 2, 3.3
/// to 3.11 (EDID 1.3 and 1.4), and CTA-861 for its extension.
namespace host::signal {

inline constexpr std::size_t kEdidBlockSize = 128;
inline constexpr std::size_t kDescriptorSize = 18;
inline constexpr std::size_t kDescriptorsAt = 0x36;  // the first of four

using DescriptorBytes = std::array<std::uint8_t, kDescriptorSize>;

/// A timing in full. Borders are counted to the porches beside them in `timing`.
struct DetailedTiming {
  model::Timing timing;
  int width_mm = 0, height_mm = 0;  // of the picture, 0..4095; 0 not told
  int h_border = 0, v_border = 0;   // on each side, 0..255
  std::uint8_t other_flags =
      0x18;  // byte 17 without interlace and polarities: stereo, kind of sync (18h separate)
  friend bool operator==(const DetailedTiming&, const DetailedTiming&) = default;
};

enum class TextKind : std::uint8_t { kName = 0xFC, kText = 0xFE, kSerial = 0xFF };

struct DisplayText {
  TextKind kind = TextKind::kName;
  std::string text;  // at most 13 printable ASCII characters
  friend bool operator==(const DisplayText&, const DisplayText&) = default;
};

enum class RangeFormula : std::uint8_t { kGtf = 0, kNone = 1, kSecondaryGtf = 2, kCvt = 4 };

/// Limits of what the display takes; every mode it lists lies inside.
struct RangeLimits {
  int v_min_hz = 0, v_max_hz = 0;    // 1..510
  int h_min_khz = 0, h_max_khz = 0;  // 1..510
  int pixel_clock_max_mhz = 0;       // a multiple of 10, up to 2550
  RangeFormula formula = RangeFormula::kNone;
  std::array<std::uint8_t, 7> details = {0x0A, 0x20, 0x20, 0x20,
                                         0x20, 0x20, 0x20};  // of the formula, as they stand
  friend bool operator==(const RangeLimits&, const RangeLimits&) = default;
};

struct DummyDescriptor {
  friend bool operator==(const DummyDescriptor&, const DummyDescriptor&) = default;
};

/// One that isn't taken apart, or that breaks the rules of its kind.
struct OtherDescriptor {
  DescriptorBytes bytes{};
  friend bool operator==(const OtherDescriptor&, const OtherDescriptor&) = default;
};

using Descriptor = std::variant<DetailedTiming, DisplayText, RangeLimits, DummyDescriptor, OtherDescriptor>;

/// One data block of a CTA-861 extension, its bytes as they stand; the functions below read them.
struct DataBlock {
  std::uint8_t tag = 0;               // 0..7
  std::vector<std::uint8_t> payload;  // at most 31; the first is the extended tag when tag is 7
  friend bool operator==(const DataBlock&, const DataBlock&) = default;
};
inline constexpr std::uint8_t kAudioTag = 1, kVideoTag = 2, kVendorTag = 3, kSpeakerTag = 4, kExtendedTag = 7;
inline constexpr std::uint8_t kVideoCapability = 0;  // extended tag

struct CtaExtension {
  std::uint8_t revision = 3;
  std::uint8_t flags = 0;  // bit 7 underscan, 6 basic audio, 5 YCbCr 4:4:4, 4 YCbCr 4:2:2, 3-0 native timings
  bool nothing_follows = false;  // the offset of the timings is 0: neither data blocks nor timings
  std::vector<DataBlock> blocks;
  std::vector<Descriptor> descriptors;  // detailed timings, sometimes others
  std::vector<std::uint8_t> tail;       // what follows them up to the checksum; empty when all zero
  friend bool operator==(const CtaExtension&, const CtaExtension&) = default;
};

/// An extension that isn't taken apart, or that breaks the rules; without its checksum.
struct OtherExtension {
  std::array<std::uint8_t, kEdidBlockSize - 1> bytes{};
  friend bool operator==(const OtherExtension&, const OtherExtension&) = default;
};

using Extension = std::variant<CtaExtension, OtherExtension>;

/// The chromaticities of sRGB: red, green, blue, white, x before y, in 1/1024.
inline constexpr std::array<std::uint16_t, 8> kSrgbChromaticity = {655, 338, 307, 614, 154, 61, 320, 337};

/// An EDID. What has a code on the wire keeps it, so that writing gives back the bytes that were read.
struct Edid {
  std::uint16_t maker = 0;  // three letters of five bits, A = 1; see letters_of
  std::uint16_t product = 0;
  std::uint32_t serial = 0;    // 0: none
  std::uint8_t week = 0;       // 1..54; 0 none; 255: year is the model's
  std::uint8_t year_code = 0;  // years since 1990
  std::uint8_t version = 1, revision = 4;
  std::uint8_t input = 0x80;                 // bit 7 digital; the rest as the standard has it
  std::uint8_t width_cm = 0, height_cm = 0;  // or, with one of them 0, an aspect ratio
  std::uint8_t gamma_code = 120;             // 100 x gamma - 100; 255: told elsewhere
  std::uint8_t features =
      0;  // 7-5 power management, 4-3 colours, 2 sRGB, 1 preferred is native, 0 continuous
  std::array<std::uint16_t, 8> chromaticity{};  // red, green, blue, white, x before y, in 1/1024
  std::array<std::uint8_t, 3> established{};
  std::array<std::uint16_t, 8> standard = {0x0101, 0x0101, 0x0101, 0x0101, 0x0101, 0x0101, 0x0101, 0x0101};
  std::array<Descriptor, 4> descriptors;  // the first is the preferred timing
  std::uint8_t extension_count = 0;       // as told; check_edid compares it with `extensions`
  std::vector<Extension> extensions;
  friend bool operator==(const Edid&, const Edid&) = default;
};

/// "QZX" for 4758h; a code that is no letter becomes "?".
[[nodiscard]] std::string letters_of(std::uint16_t maker);

/// The code of three capital letters; 0 for anything else.
[[nodiscard]] std::uint16_t maker_of(std::string_view letters);

/// What is wrong with an EDID.
enum class EdidRule {
  kLength,
  kHeader,
  kChecksum,
  kExtensionCount,
  kVersion,
  kMaker,
  kDate,
  kInput,
  kSize,
  kColour,
  kFeatures,
  kStandardTiming,
  kFirstTiming,
  kDescriptor,
  kDescriptorOrder,
  kMissingDescriptor,
  kDuplicate,
  kRange,
  kOutsideRange,
  kDataBlock,
  kVideoCode,
  kHdmi,
  kPadding,
  kValueTooLarge,
};
[[nodiscard]] std::string_view to_text(EdidRule rule);  // "outside-range"

/// One thing that is wrong, where, and what would be right.
struct EdidFault {
  EdidRule rule = EdidRule::kLength;
  model::Severity severity = model::Severity::kFault;
  std::size_t offset = 0;  // from the first byte of the EDID
  std::string found, right;
};

}  // namespace host::signal
