#include "host/signal/field_list.hpp"

#include "host/signal/hex.hpp"

namespace host::signal {
namespace {

// Adds the fields of each kind of descriptor.
struct Adder {
  FieldList& fields;
  const std::string& prefix;
  std::size_t offset;

  void number(std::string_view name, std::int64_t value) const {
    fields.add(prefix + std::string(name), std::to_string(value), offset);
  }
  void word(std::string_view name, std::string_view value) const {
    fields.add(prefix + std::string(name), value, offset);
  }
  void operator()(const DetailedTiming& detailed) const {
    const model::Timing& timing = detailed.timing;
    const auto sign = [](model::Polarity polarity) {
      return polarity == model::Polarity::kPositive ? "+" : "-";
    };
    word("kind", "timing");
    number("pixel_clock_khz", timing.pixel_clock.count / 1000);
    number("h_active", timing.h_active.count);
    number("h_front", timing.h_front.count);
    number("h_sync", timing.h_sync.count);
    number("h_back", timing.h_back.count);
    number("v_active", timing.v_active.count);
    number("v_front", timing.v_front.count);
    number("v_sync", timing.v_sync.count);
    number("v_back", timing.v_back.count);
    word("h_polarity", sign(timing.h_polarity));
    word("v_polarity", sign(timing.v_polarity));
    word("interlaced", FieldList::yes_or_no(timing.interlaced));
    number("refresh_millihz", timing.refresh().count);
    number("width_mm", detailed.width_mm);
    number("height_mm", detailed.height_mm);
    if (detailed.h_border != 0) number("h_border", detailed.h_border);
    if (detailed.v_border != 0) number("v_border", detailed.v_border);
    if (detailed.other_flags != 0x18) word("other_flags", hex(detailed.other_flags));
  }
  void operator()(const DisplayText& text) const {
    word("kind", text.kind == TextKind::kName ? "name" : text.kind == TextKind::kText ? "text" : "serial");
    word("text", text.text);
  }
  void operator()(const RangeLimits& limits) const {
    word("kind", "range");
    number("v_min_hz", limits.v_min_hz);
    number("v_max_hz", limits.v_max_hz);
    number("h_min_khz", limits.h_min_khz);
    number("h_max_khz", limits.h_max_khz);
    number("pixel_clock_max_mhz", limits.pixel_clock_max_mhz);
    switch (limits.formula) {
      case RangeFormula::kGtf: word("formula", "gtf"); break;
      case RangeFormula::kNone: word("formula", "none"); break;
      case RangeFormula::kSecondaryGtf: word("formula", "secondary-gtf"); break;
      case RangeFormula::kCvt: word("formula", "cvt"); break;
    }
    if (limits.details != RangeLimits{}.details) word("details", FieldList::hex_of(limits.details));
  }
  void operator()(const DummyDescriptor& /*dummy*/) const { word("kind", "dummy"); }
  void operator()(const OtherDescriptor& other) const {
    word("kind", "other");
    word("bytes", FieldList::hex_of(other.bytes));
  }
};

}  // namespace

void FieldList::descriptor(const std::string& prefix, const Descriptor& descriptor, std::size_t offset) {
  std::visit(Adder{*this, prefix, offset}, descriptor);
}

std::string FieldList::joined(std::initializer_list<std::pair<bool, std::string_view>> words) {
  std::string result;
  for (const auto& [holds, word] : words) {
    if (holds) result += (result.empty() ? "" : ", ") + std::string(word);
  }
  return result.empty() ? "none" : result;
}

std::string FieldList::hex_of(std::span<const std::uint8_t> bytes) {
  std::string result;
  for (const std::uint8_t byte : bytes) result += (result.empty() ? "" : " ") + hex(byte).substr(0, 2);
  return result;
}

}  // namespace host::signal
