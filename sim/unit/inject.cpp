// Faults coming and going. Most only stand in Wrongs, and act where the circuit asks for them; some are
// something that someone does to the unit.

#include <algorithm>

#include "sim/unit/applies.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

namespace model = host::model;
using fault::Kind;

namespace {

constexpr protocol::base::Duration kMoveDelay = protocol::base::milliseconds(2'000);

tl::unexpected<std::string> refuse(const fault::Fault& fault, const std::string& why) {
  return tl::unexpected(std::string{fault::name(fault.kind)} + ": " + why);
}

// Another kit's settings in this board's memory; what it can't do, it cuts.
Settings settings_here(const model::Kit& here, const model::Kit& other) {
  Settings settings = settings_of(other);
  const auto& range = here.board.light.pwm_range;
  if (range.min) settings.pwm_frequency = std::max(settings.pwm_frequency, *range.min);
  if (range.max) settings.pwm_frequency = std::min(settings.pwm_frequency, *range.max);
  settings.input = std::min(settings.input, std::max<std::size_t>(here.board.inputs.size(), 1) - 1);
  return settings;
}

}  // namespace

Done Unit::inject(const fault::Fault& fault) {
  if (auto why = why_not(setup_.kit, fault); !why.empty()) return refuse(fault, why);
  std::optional<model::Panel> panel;
  std::optional<model::Kit> kit;
  if (fault.kind == Kind::kEdidOf) {
    if (setup_.shelf.panel) panel = setup_.shelf.panel(fault.as<std::string>());
    if (!panel) return refuse(fault, "there is no panel \"" + fault.as<std::string>() + "\"");
  }
  if (fault.kind == Kind::kSettingsOf) {
    if (setup_.shelf.kit) kit = setup_.shelf.kit(fault.as<std::string>());
    if (!kit) return refuse(fault, "there is no kit \"" + fault.as<std::string>() + "\"");
  }
  if (wrongs_.has(fault.kind)) (void)mend(fault.kind);
  history_.acted(now_);
  wrongs_.add(fault);
  if (panel) edid_panel_ = std::move(panel);
  if (kit) {
    kept_settings_ = firmware_.settings();
    wrongs_.count(Kind::kSettingsOf);
    firmware_.set_settings(settings_here(setup_.kit, *kit), now_);
  }
  arrive(fault);
  firmware_.refresh_link();
  see_source();
  circuit_.disturb();
  return {};
}

// What a fault does once, as it comes.
void Unit::arrive(const fault::Fault& fault) {
  switch (fault.kind) {
    case Kind::kBridgeDoubled:
    case Kind::kStrapMovedLive: {
      const std::size_t strap = *strap_index(setup_.kit.board, fault.as<std::string>());
      if (fault.kind == Kind::kStrapMovedLive) {
        moved_ = {strap, setup_.straps[strap]};
        // Live means that the unit is on.
        strap_move_at_ = firmware_.state() == PowerState::kOn ? now_ : now_ + kMoveDelay;
        if (*strap_move_at_ <= now_) move_strap_live();
        return;
      }
      doubled_ = {strap, setup_.straps[strap]};
      if (const auto caps = doubled(setup_.kit.board, strap, setup_.straps[strap])) {
        wrongs_.count(fault.kind);
        move_strap(strap, *caps);
        if (now_ == protocol::base::Instant{}) straps_at_reset_[strap] = *caps;
        read_straps();
      }
      return;
    }
    case Kind::kOverheat:
      if (now_ == protocol::base::Instant{}) {  // it has lain there
        board_degrees_ = static_cast<double>(fault.as<model::Millidegrees>().count) / 1'000;
      }
      return;
    case Kind::kSoftOff:
      if (firmware_.running() && wrongs_.acts(Kind::kSoftOff)) {
        firmware_.switch_power(PowerReason::kKey, false, now_);
      }
      return;
    default: return;
  }
}

void Unit::move_strap_live() {
  strap_move_at_.reset();
  if (!moved_) return;
  const auto to = next_position(setup_.kit.board, moved_->strap, setup_.straps[moved_->strap]);
  if (!to) return;
  wrongs_.count(Kind::kStrapMovedLive);
  move_strap(moved_->strap, *to);
}

Done Unit::mend(Kind kind) {
  if (!wrongs_.remove(kind)) return tl::unexpected(std::string{fault::name(kind)} + " isn't in this unit");
  history_.acted(now_);
  switch (kind) {
    case Kind::kBridgeDoubled:
      if (doubled_) move_strap(doubled_->strap, doubled_->was);
      doubled_.reset();
      break;
    case Kind::kStrapMovedLive:
      if (moved_) move_strap(moved_->strap, moved_->was);
      moved_.reset();
      strap_move_at_.reset();
      break;
    case Kind::kSettingsOf:
      if (kept_settings_) firmware_.set_settings(*kept_settings_, now_);
      kept_settings_.reset();
      break;
    case Kind::kSettingsLost:
      if (firmware_.running()) firmware_.read_settings(now_);
      break;
    case Kind::kSoftOff: firmware_.switch_power(PowerReason::kKey, true, now_); break;
    case Kind::kEdidOf: edid_panel_.reset(); break;
    default: break;
  }
  firmware_.refresh_link();
  see_source();
  circuit_.disturb();
  return {};
}

}  // namespace sim::unit
