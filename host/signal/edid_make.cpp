#include "host/signal/edid_make.hpp"

#include <algorithm>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_codec.hpp"
#include "host/signal/edid_range.hpp"
#include "host/signal/edid_timings.hpp"
#include "host/signal/edid_write.hpp"
#include "host/signal/timing_table.hpp"

namespace host::signal {
namespace {

constexpr std::size_t kPayloadMax = 31;  // of a data block

class Maker {
 public:
  explicit Maker(const EdidOptions& options)
      : options_(options),
        modern_(options.interface == EdidInterface::kDvi ||
                options.interface == EdidInterface::kDisplayPort) {}

  tl::expected<Edid, std::vector<std::string>> run() {
    identity();
    basics();
    descriptors();
    if (options_.interface == EdidInterface::kHdmi) extension();
    limits();
    if (errors_.empty()) judge();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    return std::move(edid_);
  }

 private:
  void wrong(std::string sentence) { errors_.push_back(std::move(sentence)); }
  void identity();
  void basics();
  void descriptors();
  void extension();
  void limits();
  void judge();
  void put(std::size_t& index, Descriptor descriptor, const std::string& what);
  [[nodiscard]] DetailedTiming detailed(const model::Timing& timing) const {
    return {timing, options_.width_mm, options_.height_mm, 0, 0, 0x18};
  }

  const EdidOptions& options_;
  const bool modern_;
  std::optional<std::size_t> limits_at_;
  std::size_t timings_placed_ = 0;  // of more_timings, in the base block
  Edid edid_;
  std::vector<std::string> errors_;
};

void Maker::identity() {
  edid_.maker = maker_of(options_.maker);
  if (edid_.maker == 0) wrong("the maker is three capital letters, not \"" + options_.maker + '"');
  edid_.product = options_.product;
  edid_.serial = options_.serial;
  if (options_.week < 0 || options_.week > 54) wrong("the week is 1 to 54, or 0 for none");
  if (options_.year < 2000 || options_.year > 2245) wrong("the year is 2000 to 2245");
  if (options_.year_is_of_model && !modern_)
    wrong("a model year needs EDID 1.4, which VGA and HDMI don't have");
  edid_.week = options_.year_is_of_model ? std::uint8_t{255} : static_cast<std::uint8_t>(options_.week);
  edid_.year_code = static_cast<std::uint8_t>(options_.year - 1990);
  edid_.revision = modern_ ? 4 : 3;
}

void Maker::basics() {
  const int bits = options_.bits_per_colour;
  if (bits < 6 || bits > 16 || bits % 2 != 0) wrong("a colour has 6, 8, 10, 12, 14 or 16 bits");
  switch (options_.interface) {
    case EdidInterface::kVga: edid_.input = 0x08; break;  // 0.700 V, separate syncs
    case EdidInterface::kHdmi: edid_.input = 0x80; break;
    case EdidInterface::kDvi: edid_.input = static_cast<std::uint8_t>(0x81 | (bits - 4) / 2 << 4); break;
    case EdidInterface::kDisplayPort:
      edid_.input = static_cast<std::uint8_t>(0x85 | (bits - 4) / 2 << 4);
      break;
  }
  const auto side = [&](int mm) {
    if (mm < 1 || mm > 2550) wrong("a side of the picture is 1 to 2550 mm");
    return static_cast<std::uint8_t>(std::max((mm + 5) / 10, 1));
  };
  edid_.width_cm = side(options_.width_mm);
  edid_.height_cm = side(options_.height_mm);
  // sRGB, the first timing preferred; RGB by the code that both an analog display and EDID 1.3 have, which in
  // EDID 1.4 is 0 for a digital one.
  edid_.features = modern_ ? 0x06 : 0x0E;
  edid_.chromaticity = kSrgbChromaticity;
}

void Maker::put(std::size_t& index, Descriptor descriptor, const std::string& what) {
  if (index >= edid_.descriptors.size()) {
    wrong("there is no room for " + what + ": the base block has four descriptors");
    return;
  }
  edid_.descriptors.at(index++) = std::move(descriptor);
}

void Maker::descriptors() {
  std::fill(edid_.descriptors.begin(), edid_.descriptors.end(), Descriptor(DummyDescriptor{}));
  const bool with_limits = options_.tell_limits || !modern_;
  const std::size_t texts =
      (options_.name.empty() ? 0U : 1U) + (options_.serial_text.empty() ? 0U : 1U) + (with_limits ? 1U : 0U);
  std::size_t index = 0;
  put(index, detailed(options_.timing), "the timing");
  for (; timings_placed_ < options_.more_timings.size() && index + texts < edid_.descriptors.size();
       ++timings_placed_) {
    put(index, detailed(options_.more_timings[timings_placed_]), "a timing");
  }
  if (timings_placed_ < options_.more_timings.size() && options_.interface != EdidInterface::kHdmi) {
    wrong("there is room for " + std::to_string(timings_placed_) + " more timings, not for " +
          std::to_string(options_.more_timings.size()));
  }
  if (!options_.name.empty()) put(index, DisplayText{TextKind::kName, options_.name}, "the name");
  if (!options_.serial_text.empty()) {
    put(index, DisplayText{TextKind::kSerial, options_.serial_text}, "the serial number as a text");
  }
  if (with_limits) {
    limits_at_ = index;
    put(index, RangeLimits{}, "the limits");
  }
}

void Maker::extension() {
  edid_.established[0] = 0x20;  // 640x480 at 60 Hz, which every HDMI sink takes
  CtaExtension cta;
  // Video codes of the listed timings, unless the first has none: a source would prefer the first code to it.
  DataBlock video{kVideoTag, {}};
  const auto add_code = [&](const model::Timing& timing) {
    const auto row = std::ranges::find_if(
        cta_timings(), [&](const StandardTiming& candidate) { return to_timing(candidate) == timing; });
    if (row == cta_timings().end()) return false;
    const auto code = static_cast<std::uint8_t>(row->number);
    if (std::ranges::find(video.payload, code) == video.payload.end() && video.payload.size() < kPayloadMax) {
      video.payload.push_back(code);
    }
    return true;
  };
  if (add_code(options_.timing)) {
    for (const model::Timing& timing : options_.more_timings) add_code(timing);
    add_code(to_timing(cta_timings().front()));
    cta.blocks.push_back(std::move(video));
  }
  if (options_.audio) {
    cta.blocks.push_back(
        {kAudioTag, {0x09, 0x07, 0x07}});  // linear PCM, 2 channels, 32 to 48 kHz, 16 to 24 bits
    cta.blocks.push_back({kSpeakerTag, {0x01, 0x00, 0x00}});
  }
  const auto nibbles = [&](std::size_t at) {
    const int high = options_.hdmi_address.at(at);
    const int low = options_.hdmi_address.at(at + 1);
    if (high < 0 || high > 15 || low < 0 || low > 15) wrong("each part of the HDMI address is 0 to 15");
    return static_cast<std::uint8_t>(high << 4 | (low & 15));
  };
  cta.blocks.push_back({kVendorTag, {0x03, 0x0C, 0x00, nibbles(0), nibbles(2)}});
  // The source may choose the range of RGB; every format is shown whole.
  cta.blocks.push_back({kExtendedTag, {kVideoCapability, 0x4A}});
  // The first detailed timing is the native one.
  cta.flags = static_cast<std::uint8_t>(0x81 | (options_.audio ? 0x40 : 0));
  for (std::size_t i = timings_placed_; i < options_.more_timings.size(); ++i) {
    cta.descriptors.emplace_back(detailed(options_.more_timings[i]));
  }
  edid_.extensions.emplace_back(std::move(cta));
  edid_.extension_count = 1;
}

void Maker::limits() {
  if (!limits_at_ || *limits_at_ >= edid_.descriptors.size()) return;
  std::vector<model::Timing> timings;
  for (const ListedTiming& listed : listed_timings(edid_)) timings.push_back(listed.timing);
  RangeLimits limits = options_.limits ? *options_.limits : limits_around(timings);
  // EDID 1.3 has no "limits only"; there the formula's bit of the features says that GTF doesn't count.
  if (!options_.limits) limits.formula = modern_ ? RangeFormula::kNone : RangeFormula::kGtf;
  edid_.descriptors.at(*limits_at_) = limits;
}

void Maker::judge() {
  if (const auto bytes = write_edid(edid_); !bytes) {
    for (const EdidFault& fault : bytes.error()) wrong(fault.found);
    return;
  }
  for (const EdidFault& fault : check_edid(edid_)) wrong(fault.found + "; right would be: " + fault.right);
}

}  // namespace

tl::expected<Edid, std::vector<std::string>> make_edid(const EdidOptions& options) {
  return Maker(options).run();
}

}  // namespace host::signal
