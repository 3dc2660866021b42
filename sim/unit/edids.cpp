#include "sim/unit/edids.hpp"

#include <algorithm>

#include "host/signal/edid_make.hpp"
#include "host/signal/edid_write.hpp"
#include "host/signal/find_timing.hpp"
#include "sim/unit/arriving.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
namespace signal = host::signal;

signal::EdidInterface interface_of(std::string_view kind) {
  if (kind == "vga") return signal::EdidInterface::kVga;
  if (kind == "hdmi") return signal::EdidInterface::kHdmi;
  if (kind == "displayport") return signal::EdidInterface::kDisplayPort;
  return signal::EdidInterface::kDvi;
}

constexpr std::size_t kNameMax = 13;
constexpr int kMillimetresMax = 2'550;

int millimetres(model::Micrometres length) {
  return static_cast<int>(std::clamp<std::int64_t>(length.count / 1'000, 1, kMillimetresMax));
}

}  // namespace

model::Timing wanted_timing(const model::Kit& kit) {
  if (const auto* timing = std::get_if<model::Timing>(&kit.video.timing)) return *timing;
  const auto found = signal::find_timing(std::get<std::string>(kit.video.timing));
  return found ? *found : timing_of(kit.panel);
}

std::vector<std::uint8_t> edid_of(const model::Panel& panel, const model::Timing& timing,
                                  std::string_view input_kind) {
  signal::EdidOptions options;
  options.maker = "SIM";
  options.product = 1;
  options.week = 1;
  options.year = 2026;
  options.name = panel.about.id.empty() ? "panel" : panel.about.id.substr(0, kNameMax);
  options.width_mm = millimetres(panel.glass.width);
  options.height_mm = millimetres(panel.glass.height);
  options.timing = timing;
  options.interface = interface_of(input_kind);
  const auto made = signal::make_edid(options);
  if (!made) return {};
  return signal::write_edid(*made).value_or(std::vector<std::uint8_t>{});
}

}  // namespace sim::unit
