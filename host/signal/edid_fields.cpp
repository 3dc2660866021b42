#include "host/signal/edid_fields.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

#include "host/signal/cta_fields.hpp"
#include "host/signal/edid_timings.hpp"
#include "host/signal/field_list.hpp"

namespace host::signal {
namespace {

// A fraction of 1024 with four decimals, cut off.
std::string fraction(std::uint16_t value) {
  const std::string digits = std::to_string(value * 10'000 / 1024 + 10'000);
  return "0." + digits.substr(1);
}

void add_input(FieldList& fields, const Edid& edid) {
  const unsigned input = edid.input;
  if ((input & 0x80) == 0) {
    constexpr std::array<std::string_view, 4> kLevels = {"0.700 / 0.300", "0.714 / 0.286", "1.000 / 0.400",
                                                         "0.700 / 0.000"};
    fields.add("input", "analog", 0x14);
    fields.add("level_v", kLevels.at(input >> 5 & 3), 0x14);
    fields.add("syncs",
               FieldList::joined({{(input & 8) != 0, "separate"},
                                  {(input & 4) != 0, "composite"},
                                  {(input & 2) != 0, "on-green"}}),
               0x14);
    return;
  }
  fields.add("input", "digital", 0x14);
  if (edid.revision < 4) return;
  constexpr std::array<std::string_view, 8> kBits = {"undefined", "6",  "8",  "10",
                                                     "12",        "14", "16", "reserved"};
  constexpr std::array<std::string_view, 6> kInterfaces = {"undefined", "dvi",  "hdmi-a",
                                                           "hdmi-b",    "mddi", "displayport"};
  fields.add("bits_per_colour", kBits.at(input >> 4 & 7), 0x14);
  fields.add("interface", (input & 15) < kInterfaces.size() ? kInterfaces.at(input & 15) : "reserved", 0x14);
}

void add_features(FieldList& fields, const Edid& edid) {
  const unsigned features = edid.features;
  fields.add("power_states",
             FieldList::joined({{(features & 0x80) != 0, "standby"},
                                {(features & 0x40) != 0, "suspend"},
                                {(features & 0x20) != 0, "off"}}),
             0x18);
  constexpr std::array<std::string_view, 4> kDigital = {"rgb", "rgb + ycbcr 4:4:4", "rgb + ycbcr 4:2:2",
                                                        "rgb + ycbcr 4:4:4 + ycbcr 4:2:2"};
  constexpr std::array<std::string_view, 4> kAnalog = {"mono", "rgb", "not rgb", "undefined"};
  // Before 1.4 digital displays told their colours as analog ones do.
  const bool formats = (edid.input & 0x80) != 0 && edid.revision >= 4;
  fields.add("colours", (formats ? kDigital : kAnalog).at(features >> 3 & 3), 0x18);
  fields.add("srgb", FieldList::yes_or_no((features & 4) != 0), 0x18);
  fields.add(edid.revision >= 4 ? "preferred_is_native" : "first_is_preferred",
             FieldList::yes_or_no((features & 2) != 0), 0x18);
  fields.add(edid.revision >= 4 ? "continuous_frequency" : "gtf", FieldList::yes_or_no((features & 1) != 0),
             0x18);
}

void add_size(FieldList& fields, const Edid& edid) {
  if (edid.width_cm != 0 && edid.height_cm != 0) {
    fields.add("width_cm", std::to_string(edid.width_cm), 0x15);
    fields.add("height_cm", std::to_string(edid.height_cm), 0x16);
  } else if (edid.width_cm == 0 && edid.height_cm == 0) {
    fields.add("size", "undefined", 0x15);
  } else {
    // 100 x the longer side over the shorter one.
    const int ratio = (edid.width_cm != 0 ? edid.width_cm : edid.height_cm) + 99;
    fields.add("aspect",
               std::to_string(ratio / 100) + '.' + std::to_string(ratio % 100 + 100).substr(1) +
                   (edid.width_cm != 0 ? " landscape" : " portrait"),
               0x15);
  }
}

void add_header(FieldList& fields, const Edid& edid) {
  fields.add("maker", letters_of(edid.maker), 0x08);
  fields.add("product", std::to_string(edid.product), 0x0A);
  fields.add("serial", edid.serial == 0 ? "none" : std::to_string(edid.serial), 0x0C);
  const bool model_year = edid.week == 255;
  if (!model_year) fields.add("week", edid.week == 0 ? "none" : std::to_string(edid.week), 0x10);
  fields.add(model_year ? "model_year" : "year", std::to_string(edid.year_code + 1990), 0x11);
  fields.add("version", std::to_string(edid.version) + '.' + std::to_string(edid.revision), 0x12);
  add_input(fields, edid);
  add_size(fields, edid);
  const int gamma = edid.gamma_code + 100;
  fields.add("gamma",
             edid.gamma_code == 255
                 ? "elsewhere"
                 : std::to_string(gamma / 100) + '.' + std::to_string(gamma % 100 + 100).substr(1),
             0x17);
  add_features(fields, edid);
  constexpr std::array<std::string_view, 8> kPoints = {"red_x",  "red_y",  "green_x", "green_y",
                                                       "blue_x", "blue_y", "white_x", "white_y"};
  for (std::size_t i = 0; i < kPoints.size(); ++i) {
    fields.add(std::string(kPoints.at(i)), fraction(edid.chromaticity.at(i)), 0x1B + i);
  }
}

void add_lists(FieldList& fields, const Edid& edid) {
  std::string established;
  for (const ListedTiming& listed : listed_timings(edid)) {
    constexpr std::string_view kWord = "established ";
    if (!listed.name.starts_with(kWord)) continue;
    established += (established.empty() ? "" : ", ") + listed.name.substr(kWord.size());
  }
  fields.add("established", established.empty() ? "none" : established, 0x23);
  for (std::size_t i = 0; i < edid.standard.size(); ++i) {
    if (edid.standard[i] == 0x0101) continue;
    const auto code = standard_code(edid.standard[i]);
    fields.add("standard." + std::to_string(i + 1),
               code ? std::to_string(code->columns) + " x " + std::to_string(code->lines) + " @ " +
                          std::to_string(code->rate_hz) + " Hz"
                    : "invalid",
               0x26 + 2 * i);
  }
}

}  // namespace

std::vector<EdidField> edid_fields(const Edid& edid) {
  FieldList fields;
  add_header(fields, edid);
  add_lists(fields, edid);
  for (std::size_t i = 0; i < edid.descriptors.size(); ++i) {
    fields.descriptor("descriptor." + std::to_string(i + 1) + '.', edid.descriptors[i],
                      kDescriptorsAt + i * kDescriptorSize);
  }
  fields.add("extensions", std::to_string(edid.extension_count), 0x7E);
  for (std::size_t i = 0; i < edid.extensions.size(); ++i) {
    const std::string prefix = "extension." + std::to_string(i + 1) + '.';
    const std::size_t at = (i + 1) * kEdidBlockSize;
    if (const auto* cta = std::get_if<CtaExtension>(&edid.extensions[i])) {
      add_cta_fields(fields, prefix, *cta, at);
    } else {
      const auto& bytes = std::get<OtherExtension>(edid.extensions[i]).bytes;
      fields.add(prefix + "kind", "other", at);
      fields.add(prefix + "bytes", FieldList::hex_of(bytes), at);
    }
  }
  return fields.take();
}

std::vector<EdidDifference> diff_edids(const Edid& left, const Edid& right) {
  const auto ours = edid_fields(left);
  const auto theirs = edid_fields(right);
  const auto value_in = [](const std::vector<EdidField>& fields,
                           const std::string& name) -> std::optional<std::string> {
    const auto field = std::ranges::find(fields, name, &EdidField::name);
    if (field == fields.end()) return std::nullopt;
    return field->value;
  };
  std::vector<EdidDifference> result;
  for (const EdidField& field : ours) {
    auto other = value_in(theirs, field.name);
    if (other != field.value) result.push_back({field.name, field.value, std::move(other)});
  }
  for (const EdidField& field : theirs) {
    if (!value_in(ours, field.name)) result.push_back({field.name, std::nullopt, field.value});
  }
  return result;
}

}  // namespace host::signal
