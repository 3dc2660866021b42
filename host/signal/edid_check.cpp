#include "host/signal/edid_check.hpp"

#include <algorithm>
#include <set>
#include <tuple>

#include "host/signal/edid_range.hpp"
#include "host/signal/edid_timings.hpp"
#include "host/signal/hdmi_block.hpp"
#include "host/signal/hex.hpp"

namespace host::signal {
namespace {

class Checker {
 public:
  explicit Checker(const Edid& edid) : edid_(edid), modern_(edid.revision >= 4) {}

  std::vector<EdidFault> run() {
    identity();
    basics();
    standard_timings();
    descriptors();
    limits();
    extensions();
    std::ranges::sort(faults_, {}, [](const EdidFault& fault) {
      return std::tuple(fault.offset, fault.rule, std::string_view(fault.found));
    });
    return std::move(faults_);
  }

 private:
  void fault(EdidRule rule, std::size_t offset, std::string found, std::string right) {
    faults_.push_back({rule, model::Severity::kFault, offset, std::move(found), std::move(right)});
  }
  void warning(EdidRule rule, std::size_t offset, std::string found, std::string right) {
    faults_.push_back({rule, model::Severity::kWarning, offset, std::move(found), std::move(right)});
  }
  void identity();
  void basics();
  void standard_timings();
  void descriptors();
  void limits();
  void extensions();
  void cta(const CtaExtension& cta, std::size_t at);
  void hdmi(const CtaExtension& cta, std::size_t at);

  const Edid& edid_;
  const bool modern_;  // EDID 1.4
  std::vector<EdidFault> faults_;
};

void Checker::identity() {
  if (edid_.version != 1 || (edid_.revision != 3 && edid_.revision != 4)) {
    fault(EdidRule::kVersion, 0x12,
          "version " + std::to_string(edid_.version) + '.' + std::to_string(edid_.revision), "1.3 or 1.4");
  }
  const std::string letters = letters_of(edid_.maker);
  if (letters.find('?') != std::string::npos || edid_.maker > 0x7FFF) {
    fault(EdidRule::kMaker, 0x08, "maker \"" + letters + '"',
          "three letters A to Z of five bits each, bit 15 zero");
  }
  if (edid_.week > 54 && !(modern_ && edid_.week == 255)) {
    fault(EdidRule::kDate, 0x10, "week " + std::to_string(edid_.week),
          modern_ ? "1 to 54, 0 for none, 255 for a model year" : "1 to 54, or 0 for none");
  }
  // EDID 1.3 came in 2000; a unit can't be older than its structure.
  if (edid_.year_code < 10) {
    warning(EdidRule::kDate, 0x11, "year " + std::to_string(1990 + edid_.year_code), "2000 or later");
  }
}

void Checker::basics() {
  const bool digital = (edid_.input & 0x80) != 0;
  if (digital && modern_) {
    if ((edid_.input >> 4 & 7) == 7)
      fault(EdidRule::kInput, 0x14, "reserved number of bits", "6 to 16 bits a colour");
    if ((edid_.input & 15) > 5) fault(EdidRule::kInput, 0x14, "reserved interface", "0 to 5");
  } else if (digital && (edid_.input & 0x7E) != 0) {
    fault(EdidRule::kInput, 0x14, "input " + hex(edid_.input),
          "80h or 81h; EDID 1.3 tells no more of digital inputs");
  }
  const bool aspect = (edid_.width_cm == 0) != (edid_.height_cm == 0);
  if (aspect && !modern_) {
    fault(EdidRule::kSize, 0x15, "an aspect ratio in place of a size",
          "both sides in cm; EDID 1.3 has no ratio");
  }
  const bool srgb = (edid_.features & 4) != 0;
  if (srgb != (edid_.chromaticity == kSrgbChromaticity)) {
    fault(EdidRule::kColour, 0x18,
          srgb ? "sRGB with other chromaticities" : "sRGB's chromaticities without its bit",
          "both or neither");
  }
  if (!modern_ && (edid_.features & 2) == 0) {
    fault(EdidRule::kFeatures, 0x18, "the first timing isn't called preferred",
          "bit 1 set, as EDID 1.3 demands");
  }
}

void Checker::standard_timings() {
  std::set<std::uint16_t> seen;
  for (std::size_t i = 0; i < edid_.standard.size(); ++i) {
    const std::uint16_t code = edid_.standard[i];
    if (code == 0x0101) continue;
    if (!standard_code(code)) {
      fault(EdidRule::kStandardTiming, 0x26 + 2 * i, "standard timing with a first byte of 0",
            "01h 01h when unused");
    } else if (!seen.insert(code).second) {
      warning(EdidRule::kDuplicate, 0x26 + 2 * i, "a standard timing listed twice", "each once");
    }
  }
}

void Checker::descriptors() {
  const auto at = [](std::size_t index) { return kDescriptorsAt + index * kDescriptorSize; };
  if (!std::holds_alternative<DetailedTiming>(edid_.descriptors[0])) {
    fault(EdidRule::kFirstTiming, at(0), "no detailed timing first", "the preferred timing");
  }
  bool timings_over = false;
  std::multiset<int> kinds;
  for (std::size_t i = 0; i < edid_.descriptors.size(); ++i) {
    const Descriptor& descriptor = edid_.descriptors.at(i);
    if (std::holds_alternative<DetailedTiming>(descriptor)) {
      if (timings_over)
        fault(EdidRule::kDescriptorOrder, at(i), "a timing behind other descriptors", "all timings first");
    } else {
      timings_over = true;
    }
    if (const auto* text = std::get_if<DisplayText>(&descriptor)) kinds.insert(static_cast<int>(text->kind));
    if (std::holds_alternative<RangeLimits>(descriptor)) kinds.insert(0xFD);
    const auto* detailed = std::get_if<DetailedTiming>(&descriptor);
    if (detailed == nullptr) continue;
    if (detailed->timing.h_sync.count == 0 || detailed->timing.v_sync.count == 0) {
      warning(EdidRule::kDescriptor, at(i), "a timing without sync", "a sync of a pixel and a line at least");
    }
    // Centimetres are rounded, so that a picture may measure up to one more than told.
    if (edid_.width_cm != 0 && edid_.height_cm != 0 &&
        (detailed->width_mm > (edid_.width_cm + 1) * 10 ||
         detailed->height_mm > (edid_.height_cm + 1) * 10)) {
      fault(EdidRule::kSize, at(i) + 12,
            "a picture of " + std::to_string(detailed->width_mm) + " x " +
                std::to_string(detailed->height_mm) + " mm on a screen of " + std::to_string(edid_.width_cm) +
                " x " + std::to_string(edid_.height_cm) + " cm",
            "a picture no larger than the screen");
    }
  }
  for (const int kind : {0xFC, 0xFF, 0xFD}) {
    if (kinds.count(kind) > 1) {
      fault(EdidRule::kDuplicate, kDescriptorsAt,
            "several descriptors with tag " + hex(static_cast<std::uint8_t>(kind)), "one");
    }
  }
  if (!modern_ && kinds.count(0xFC) == 0) {
    fault(EdidRule::kMissingDescriptor, kDescriptorsAt, "no name", "a descriptor FCh, as EDID 1.3 demands");
  }
  const bool continuous = (edid_.features & 1) != 0;
  if (kinds.count(0xFD) == 0 && (!modern_ || continuous)) {
    fault(EdidRule::kMissingDescriptor, kDescriptorsAt, "no range limits",
          modern_ ? "a descriptor FDh where the frequency is continuous"
                  : "a descriptor FDh, as EDID 1.3 demands");
  }
}

void Checker::limits() {
  for (std::size_t i = 0; i < edid_.descriptors.size(); ++i) {
    const auto* limits = std::get_if<RangeLimits>(&edid_.descriptors.at(i));
    if (limits == nullptr) continue;
    const std::size_t at = kDescriptorsAt + i * kDescriptorSize;
    if (limits->v_min_hz > limits->v_max_hz || limits->h_min_khz > limits->h_max_khz) {
      fault(EdidRule::kRange, at + 5, "a lower limit above the upper one", "lower limits first");
      continue;
    }
    if (modern_ && limits->formula == RangeFormula::kGtf && (edid_.features & 1) == 0) {
      fault(EdidRule::kRange, at + 10, "default GTF where the frequency isn't continuous",
            "range limits only, 01h");
    }
    if (!modern_ && (limits->formula == RangeFormula::kNone || limits->formula == RangeFormula::kCvt)) {
      fault(EdidRule::kRange, at + 10, "a formula that EDID 1.3 doesn't have", "00h or 02h");
    }
    for (const ListedTiming& listed : listed_timings(edid_)) {
      const std::string why = outside_range(*limits, listed.timing);
      if (!why.empty()) {
        fault(EdidRule::kOutsideRange, listed.offset, listed.name + ": " + why,
              "limits that contain every listed mode");
      }
    }
  }
}

void Checker::extensions() {
  if (edid_.extension_count != edid_.extensions.size()) {
    fault(EdidRule::kExtensionCount, 0x7E, std::to_string(edid_.extension_count) + " extensions told",
          std::to_string(edid_.extensions.size()));
  }
  for (std::size_t i = 0; i < edid_.extensions.size(); ++i) {
    if (const auto* extension = std::get_if<CtaExtension>(&edid_.extensions.at(i))) {
      cta(*extension, (i + 1) * kEdidBlockSize);
    }
  }
}

void Checker::cta(const CtaExtension& cta, std::size_t at) {
  if (cta.revision < 3 && !cta.blocks.empty()) {
    fault(EdidRule::kDataBlock, at + 1, "data blocks in revision " + std::to_string(cta.revision),
          "revision 3");
  }
  std::size_t position = at + 4;
  std::set<int> codes;
  bool has_audio = false;
  for (const DataBlock& block : cta.blocks) {
    if (block.tag == 0 || block.tag == 6) {
      fault(EdidRule::kDataBlock, position, "a data block with reserved tag " + std::to_string(block.tag),
            "tags 1 to 5, or 7");
    }
    if (block.tag == kExtendedTag && block.payload.empty()) {
      fault(EdidRule::kDataBlock, position, "an extended data block without its tag", "one byte at least");
    }
    if (block.tag == kAudioTag && block.payload.size() % 3 != 0) {
      fault(EdidRule::kDataBlock, position,
            "an audio block of " + std::to_string(block.payload.size()) + " bytes", "three bytes a format");
    }
    if (block.tag == kSpeakerTag && block.payload.size() != 3) {
      fault(EdidRule::kDataBlock, position,
            "a speaker block of " + std::to_string(block.payload.size()) + " bytes", "three");
    }
    has_audio = has_audio || block.tag == kAudioTag;
    for (std::size_t i = 0; block.tag == kVideoTag && i < block.payload.size(); ++i) {
      const auto code = video_code(block.payload[i]);
      if (!code) {
        fault(EdidRule::kVideoCode, position + 1 + i,
              "reserved video code " + std::to_string(block.payload[i]),
              "1 to 127, 129 to 192 or 193 to 253");
      } else if (!codes.insert(code->code).second) {
        warning(EdidRule::kDuplicate, position + 1 + i,
                "video code " + std::to_string(code->code) + " listed twice", "each once");
      }
    }
    position += 1 + block.payload.size();
  }
  if (has_audio && (cta.flags & 0x40) == 0) {
    fault(EdidRule::kDataBlock, at + 3, "an audio block without basic audio", "bit 6 set");
  }
  if (std::ranges::any_of(cta.blocks, is_hdmi_block)) hdmi(cta, at);
}

void Checker::hdmi(const CtaExtension& cta, std::size_t at) {
  if (modern_) {
    fault(EdidRule::kHdmi, 0x13, "EDID 1.4 with an HDMI vendor block",
          "1.3, which HDMI sources of that age read");
  }
  const auto short_block = std::ranges::find_if(
      cta.blocks, [](const DataBlock& block) { return is_hdmi_block(block) && block.payload.size() < 5; });
  if (short_block != cta.blocks.end()) {
    fault(EdidRule::kHdmi, at + 4, "an HDMI vendor block without a physical address", "five bytes at least");
  }
  const auto listed = listed_timings(edid_);
  const bool vga = std::ranges::any_of(listed, [](const ListedTiming& mode) {
    return mode.timing.h_active.count == 640 && mode.timing.v_active.count == 480 &&
           !mode.timing.interlaced && mode.timing.refresh().count / 1000 <= 60;
  });
  if (!vga)
    fault(EdidRule::kHdmi, 0x23, "640 x 480 at 60 Hz isn't listed",
          "established, or video code 1; HDMI demands it");
}

}  // namespace

std::vector<EdidFault> check_edid(const Edid& edid) {
  return Checker(edid).run();
}

}  // namespace host::signal
