#include "host/expect/edid/presented.hpp"

#include <algorithm>
#include <charconv>

#include "host/signal/edid_make.hpp"
#include "host/signal/edid_write.hpp"

namespace host::expect::edid {
namespace {

constexpr std::size_t kNameSizeMax = 13;

// Millimetres of a whole raster of which `shown` pixels measure `length`.
int raster_mm(model::Micrometres length, model::Pixels shown, model::Pixels raster) {
  if (shown.count <= 0) return 0;
  return static_cast<int>((length.count * raster.count / shown.count + 500) / 1000);
}

std::uint16_t product_of(const std::string& digest) {
  std::uint16_t product = 0;
  const std::string_view digits = std::string_view(digest).substr(0, 4);
  std::from_chars(digits.data(), digits.data() + digits.size(), product, 16);
  return std::max<std::uint16_t>(product, 1);
}

}  // namespace

signal::EdidInterface interface_of(const model::Kit& kit) {
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  if (input == kit.board.inputs.end() || input->kind == "dvi") return signal::EdidInterface::kDvi;
  if (input->kind == "vga") return signal::EdidInterface::kVga;
  if (input->kind == "displayport") return signal::EdidInterface::kDisplayPort;
  return signal::EdidInterface::kHdmi;
}

tl::expected<std::vector<std::uint8_t>, std::vector<std::string>> fixed_edid(
    const model::Kit& kit, const std::vector<model::Timing>& timings, const EdidIdentity& identity) {
  const model::Panel& panel = kit.panel;
  signal::EdidOptions options;
  options.maker = identity.maker;
  options.year = identity.year;
  options.product = product_of(kit.digest);
  options.name = panel.about.id.substr(0, kNameSizeMax);
  options.width_mm = raster_mm(panel.glass.width, panel.glass.columns, panel.signal.raster_columns);
  options.height_mm = raster_mm(panel.glass.height, panel.glass.lines, panel.signal.raster_lines);
  options.timing = timings.front();
  options.more_timings.assign(timings.begin() + 1, timings.end());
  options.interface = interface_of(kit);
  options.bits_per_colour = bits_per_pixel(panel.link.mapping) / 3;
  const auto edid = signal::make_edid(options);
  if (!edid) return tl::unexpected(edid.error());
  auto bytes = signal::write_edid(*edid);
  if (bytes) return std::move(*bytes);
  std::vector<std::string> messages;
  for (const auto& fault : bytes.error()) messages.push_back(fault.found + "; right would be " + fault.right);
  return tl::unexpected(std::move(messages));
}

tl::expected<std::vector<std::uint8_t>, std::vector<std::string>> presented_edid(
    const model::Kit& kit, const model::Timing& timing, const EdidIdentity& identity) {
  return fixed_edid(kit, {timing}, identity);
}

}  // namespace host::expect::edid
