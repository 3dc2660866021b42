#include "sim/unit/applies.hpp"

#include <algorithm>

#include "host/model/nearest.hpp"
#include "protocol/points/words.hpp"
#include "sim/unit/meter.hpp"

namespace sim::unit {
namespace {

namespace model = host::model;
using fault::Kind;

std::string needs_channels(const model::Panel& panel) {
  if (panel.link.kind == model::LinkKind::kEdp) return "this panel's link has lanes, no channels";
  return panel.link.channels < 2 ? "this panel has one channel only" : "";
}

std::string pair_exists(const model::Panel& panel, fault::Pair pair) {
  const bool edp = panel.link.kind == model::LinkKind::kEdp;
  if (pair.clock) return edp ? "this panel's link has no clock pair" : "";
  const int count = data_pairs(panel);
  if (pair.index < count) return {};
  return "this panel's cable has " + std::string{edp ? "lanes" : "data pairs"} + " 0 to " +
         std::to_string(count - 1);
}

std::string input_kind(const model::Kit& kit) {
  for (const model::VideoInput& input : kit.board.inputs) {
    if (input.id == kit.video.input) return input.kind;
  }
  return {};
}

std::string strap_exists(const model::Board& board, const std::string& id) {
  if (strap_index(board, id)) return {};
  std::vector<std::string_view> names;
  for (const model::Strap& strap : board.straps) names.push_back(strap.id);
  return "this board has no strap \"" + id + "\"; " + model::nearest_hint(id, names, "straps");
}

std::string strap_fault(const model::Board& board, const fault::Fault& fault) {
  const auto& id = fault.as<std::string>();
  if (auto missing = strap_exists(board, id); !missing.empty()) return missing;
  const std::size_t index = *strap_index(board, id);
  const model::Strap& strap = board.straps[index];
  if (fault.kind == Kind::kSenseStuck) {
    const bool sensed =
        strap.evidence == model::Evidence::kSensed || strap.evidence == model::Evidence::kAtReset;
    return sensed ? "" : "this board doesn't sense " + id;
  }
  if (fault.kind == Kind::kBridgeDoubled) {
    if (strap.kind != model::StrapKind::kJumper) return id + " is a bank of switches, it carries no caps";
    return strap.count < 3 ? id + " has two pins, there is no room for a second cap" : "";
  }
  return next_position(board, index, {}) ? "" : id + " selects nothing, wherever it stands";
}

std::string reading(const model::Board& board, protocol::points::Point point) {
  if (!board.fitted(point)) return "this board doesn't measure that point";
  return Meter::measures(point) ? "" : std::string{protocol::points::words(point).name} + " isn't measured";
}

}  // namespace

int data_pairs(const model::Panel& panel) {
  if (panel.link.kind == model::LinkKind::kEdp) return panel.link.channels;
  constexpr int kBitsAPair = 6;  // of a colour word: three pairs carry 18 bits, four 24, five 30
  return panel.link.channels * (model::bits_per_pixel(panel.link.mapping) / kBitsAPair);
}

std::optional<std::size_t> strap_index(const model::Board& board, std::string_view id) {
  for (std::size_t i = 0; i < board.straps.size(); ++i) {
    if (board.straps[i].id == id) return i;
  }
  return std::nullopt;
}

std::optional<model::Position> next_position(const model::Board& board, std::size_t strap,
                                             model::Position now) {
  std::vector<std::uint16_t> known;
  for (const model::Function& function : board.functions) {
    for (const model::FunctionRow& row : function.rows) {
      for (const auto& setting : row.settings) {
        if (setting.strap != strap || setting.patterns.empty()) continue;
        const model::Pattern pattern = setting.patterns.front();
        if (pattern.matches(now)) continue;
        known.push_back(static_cast<std::uint16_t>((now.bits & ~pattern.care) | pattern.bits));
      }
    }
    if (!known.empty()) break;
  }
  if (known.empty()) return std::nullopt;
  // Upwards from where it stands, then round.
  std::sort(known.begin(), known.end());
  const auto above = std::upper_bound(known.begin(), known.end(), now.bits);
  return model::Position{above == known.end() ? known.front() : *above};
}

std::optional<model::Position> doubled(const model::Board& board, std::size_t strap, model::Position now) {
  const auto next = next_position(board, strap, now);
  const std::uint16_t all = static_cast<std::uint16_t>((1U << (board.straps[strap].count - 1)) - 1);
  auto bits = static_cast<std::uint16_t>((now.bits | (next ? next->bits : 0)) & all);
  for (std::uint16_t cap = 1; bits == now.bits && (cap & all) != 0;
       cap = static_cast<std::uint16_t>(cap << 1)) {
    bits = static_cast<std::uint16_t>(bits | cap);
  }
  if (bits == now.bits) return std::nullopt;
  return model::Position{bits};
}

std::string why_not(const model::Kit& kit, const fault::Fault& fault) {
  const model::Panel& panel = kit.panel;
  switch (fault.kind) {
    case Kind::kPanelPairOpen:
    case Kind::kPanelPairReversed: return pair_exists(panel, fault.as<fault::Pair>());
    case Kind::kPanelChannelsSwapped: return needs_channels(panel);
    case Kind::kLampWorn:
      return panel.backlight.kind == model::LightKind::kCcfl ? ""
                                                             : "this panel is lit by LEDs, it has no lamps";
    case Kind::kBacklightStringOpen:
      return panel.backlight.kind == model::LightKind::kLed ? ""
                                                            : "this panel is lit by lamps, it has no strings";
    case Kind::kPwmStuck:
    case Kind::kPwmFrequency:
      return panel.backlight.dimming.by == model::DimmingKind::kPwm ? ""
                                                                    : "this panel is dimmed by a voltage";
    case Kind::kWrongInput: return kit.board.inputs.size() > 1 ? "" : "this board has one input only";
    case Kind::kHotplugLow: return input_kind(kit) != "vga" ? "" : "a vga input has no hot-plug line";
    case Kind::kSourceProtected: return input_kind(kit) != "vga" ? "" : "a vga signal can't be protected";
    case Kind::kColourSpace: {
      const std::string kind = input_kind(kit);
      const bool can =
          kind == "hdmi" || kind == "displayport" || fault.as<fault::ColourForm>() == fault::ColourForm::kRgb;
      return can ? "" : "a " + kind + " signal is rgb only";
    }
    case Kind::kKeypadOpen: return kit.keypad ? "" : "this unit has no keypad";
    case Kind::kKeypadStuck:
      if (!kit.keypad) return "this unit has no keypad";
      if (fault.as<fault::Key>().number <= kit.keypad->keys) return {};
      return "this keypad has keys 1 to " + std::to_string(kit.keypad->keys);
    case Kind::kSenseStuck:
    case Kind::kBridgeDoubled:
    case Kind::kStrapMovedLive: return strap_fault(kit.board, fault);
    case Kind::kReadingOff: return reading(kit.board, fault.as<fault::ReadingError>().point);
    default: return {};
  }
}

}  // namespace sim::unit
