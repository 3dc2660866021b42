#include "host/signal/edid.hpp"

namespace host::signal {

std::string letters_of(std::uint16_t maker) {
  std::string letters;
  for (int shift = 10; shift >= 0; shift -= 5) {
    const int letter = maker >> shift & 31;
    letters += letter >= 1 && letter <= 26 ? static_cast<char>('A' + letter - 1) : '?';
  }
  return letters;
}

std::uint16_t maker_of(std::string_view letters) {
  if (letters.size() != 3) return 0;
  unsigned code = 0;
  for (const char letter : letters) {
    if (letter < 'A' || letter > 'Z') return 0;
    code = code << 5 | static_cast<unsigned>(letter - 'A' + 1);
  }
  return static_cast<std::uint16_t>(code);
}

std::string_view to_text(EdidRule rule) {
  switch (rule) {
    case EdidRule::kLength: return "length";
    case EdidRule::kHeader: return "header";
    case EdidRule::kChecksum: return "checksum";
    case EdidRule::kExtensionCount: return "extension-count";
    case EdidRule::kVersion: return "version";
    case EdidRule::kMaker: return "maker";
    case EdidRule::kDate: return "date";
    case EdidRule::kInput: return "input";
    case EdidRule::kSize: return "size";
    case EdidRule::kColour: return "colour";
    case EdidRule::kFeatures: return "features";
    case EdidRule::kStandardTiming: return "standard-timing";
    case EdidRule::kFirstTiming: return "first-timing";
    case EdidRule::kDescriptor: return "descriptor";
    case EdidRule::kDescriptorOrder: return "descriptor-order";
    case EdidRule::kMissingDescriptor: return "missing-descriptor";
    case EdidRule::kDuplicate: return "duplicate";
    case EdidRule::kRange: return "range";
    case EdidRule::kOutsideRange: return "outside-range";
    case EdidRule::kDataBlock: return "data-block";
    case EdidRule::kVideoCode: return "video-code";
    case EdidRule::kHdmi: return "hdmi";
    case EdidRule::kPadding: return "padding";
    case EdidRule::kValueTooLarge: return "value-too-large";
  }
  return "";
}

}  // namespace host::signal
