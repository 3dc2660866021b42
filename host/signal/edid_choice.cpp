#include "host/signal/edid_choice.hpp"

#include <algorithm>

#include "host/model/quantity_text.hpp"
#include "host/signal/edid_read.hpp"
#include "host/signal/edid_timings.hpp"
#include "host/signal/find_timing.hpp"

namespace host::signal {
namespace {

constexpr model::Hertz kTmdsMin{25'000'000};
constexpr model::Hertz kDviMax{165'000'000};
constexpr model::Hertz kHdmiMax{340'000'000};

constexpr std::string_view kBaseMode = "dmt 04h";     // 640 x 480 at 60 Hz
constexpr std::string_view kDesktopMode = "dmt 10h";  // 1024 x 768 at 60 Hz

// Where a listed timing stands in a source's order; a name tells the form.
int order_of(const ListedTiming& listed) {
  if (listed.offset >= kEdidBlockSize) return 1;
  if (listed.name.starts_with("detailed")) return 0;
  return listed.name.starts_with("standard") ? 2 : 3;
}

std::vector<ListedTiming> in_order(const Edid& edid) {
  std::vector<ListedTiming> list = listed_timings(edid);
  std::ranges::stable_sort(list, {}, order_of);
  return list;
}

std::string beyond(const ListedTiming& listed, const model::Bounds<model::Hertz>& clocks) {
  const bool slow = clocks.min && listed.timing.pixel_clock < *clocks.min;
  return listed.name + ": " + to_text(listed.timing.pixel_clock) + ", the interface carries " +
         (slow ? "no less than " + to_text(*clocks.min) : "no more than " + to_text(*clocks.max));
}

SourceChoice fallback(ChoiceRule rule, EdidInterface interface) {
  SourceChoice choice;
  choice.rule = rule;
  choice.name = kBaseMode;
  choice.timing = find_timing(kBaseMode).value_or(model::Timing{});
  switch (rule) {
    case ChoiceRule::kDamaged:
      choice.why = "an EDID whose first block has a wrong header or checksum counts as none";
      break;
    case ChoiceRule::kNothingListed: choice.why = "the EDID lists nothing that the source can send"; break;
    default: choice.why = "the display answers no EDID"; break;
  }
  choice.why += ": 640 x 480 at 60 Hz, ";
  switch (interface) {
    case EdidInterface::kHdmi: choice.why += "which CTA-861 wants of every sink"; break;
    case EdidInterface::kDisplayPort: choice.why += "as DisplayPort's Link CTS 4.2.2.6 has it"; break;
    default:
      choice.why += "or 1024 x 768, as sources are set up (common practice)";
      choice.also_possible.push_back(find_timing(kDesktopMode).value_or(model::Timing{}));
      break;
  }
  return choice;
}

bool damaged(const EdidReading& reading) {
  return !reading.edid || std::ranges::any_of(reading.faults, [](const EdidFault& fault) {
    return fault.rule == EdidRule::kChecksum && fault.offset < kEdidBlockSize;
  });
}

}  // namespace

model::Bounds<model::Hertz> clocks_of(EdidInterface interface) {
  switch (interface) {
    case EdidInterface::kDvi: return {kTmdsMin, {}, kDviMax};
    case EdidInterface::kHdmi: return {kTmdsMin, {}, kHdmiMax};
    default: return {};
  }
}

std::string_view to_text(ChoiceRule rule) {
  switch (rule) {
    case ChoiceRule::kPreferred: return "preferred";
    case ChoiceRule::kListed: return "listed";
    case ChoiceRule::kNoEdid: return "no-edid";
    case ChoiceRule::kDamaged: return "damaged";
    case ChoiceRule::kNothingListed: return "nothing-listed";
  }
  return "no-edid";
}

SourceChoice source_choice(std::span<const std::uint8_t> edid, EdidInterface interface) {
  if (edid.empty()) return fallback(ChoiceRule::kNoEdid, interface);
  const EdidReading reading = read_edid(edid);
  if (damaged(reading)) return fallback(ChoiceRule::kDamaged, interface);
  const auto clocks = clocks_of(interface);
  SourceChoice choice;
  const auto list = in_order(*reading.edid);
  const auto take = [&](const ListedTiming& listed, ChoiceRule rule, std::string why) {
    choice.rule = rule;
    choice.name = listed.name;
    choice.timing = listed.timing;
    choice.why = std::move(why);
  };
  const bool told = std::holds_alternative<DetailedTiming>(reading.edid->descriptors.front());
  const bool preferred = told && (reading.edid->revision >= 4 || (reading.edid->features & 2) != 0);
  const ListedTiming* interlaced = nullptr;
  for (const ListedTiming& listed : list) {
    if (!clocks.contains(listed.timing.pixel_clock)) {
      choice.passed_over.push_back(beyond(listed, clocks));
      continue;
    }
    if (preferred && &listed == list.data()) {
      take(listed, ChoiceRule::kPreferred,
           "the first detailed timing is the preferred one (Enhanced EDID A2, 3.10.1)");
      return choice;
    }
    if (listed.timing.interlaced) {
      if (interlaced == nullptr) interlaced = &listed;
      continue;
    }
    take(listed, ChoiceRule::kListed, "the first listed one that the source can send (common practice)");
    return choice;
  }
  if (interlaced != nullptr) {
    take(*interlaced, ChoiceRule::kListed, "only interlaced ones that the source can send are listed");
    return choice;
  }
  auto last = fallback(ChoiceRule::kNothingListed, interface);
  last.passed_over = std::move(choice.passed_over);
  return last;
}

}  // namespace host::signal
