// What can be done to a unit from outside.

#include <algorithm>

#include "sim/unit/applies.hpp"
#include "sim/unit/edids.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

namespace model = host::model;
using fault::Kind;

void Unit::set_supply(std::optional<model::Millivolts> voltage) {
  circuit_.set_supply(voltage ? std::optional{static_cast<double>(voltage->count)} : std::nullopt);
  history_.acted(now_);
}

void Unit::connect_source(const std::optional<model::Timing>& source) {
  history_.acted(now_);
  plugged_.timing = source;
  see_source();
}

Done Unit::press(int key) {
  if (!setup_.kit.keypad) return tl::unexpected(std::string{"this unit has no keypad"});
  if (key < 1 || key > setup_.kit.keypad->keys) {
    return tl::unexpected("this keypad has keys 1 to " + std::to_string(setup_.kit.keypad->keys));
  }
  key_ = key;
  history_.acted(now_);
  const bool heard = circuit_.levels().keypad_mv > 0 && !wrongs_.acts(Kind::kKeypadOpen) &&
                     !wrongs_.acts(Kind::kKeypadStuck);  // a key that is held already hides another
  if (heard) firmware_.key_pressed(key, now_);
  if (firmware_.selected_input() != seen_input_) see_source();
  circuit_.disturb();
  return {};
}

void Unit::release() {
  key_ = 0;
  circuit_.disturb();
}

int Unit::key_seen() const {
  if (!setup_.kit.keypad || circuit_.levels().keypad_ma <= 0) return 0;
  if (wrongs_.acts(Kind::kKeypadStuck)) return wrongs_.argument<fault::Key>(Kind::kKeypadStuck).number;
  return key_;
}

void Unit::set_ambient(model::Millidegrees temperature) {
  ambient_degrees_ = static_cast<double>(temperature.count) / 1'000;
  if (now_ == protocol::base::Instant{}) board_degrees_ = ambient_degrees_;  // it has lain there
}

Done Unit::set_setting(std::string_view key, std::string_view value) {
  const auto changed = with_setting(setup_.kit, firmware_.settings(), key, value);
  if (!changed) return tl::unexpected(changed.error());
  firmware_.set_settings(*changed, now_);
  history_.acted(now_);
  see_source();
  return {};
}

void Unit::keep(const Settings& settings, const Stamp& stamp) {
  firmware_.set_settings(settings, now_);
  firmware_.set_stamp(stamp, now_);
  history_.acted(now_);
  see_source();
}

void Unit::move_strap(std::size_t strap, model::Position position) {
  setup_.straps[strap] = position;
  history_.acted(now_);
  read_straps();
  if (setup_.kit.board.straps[strap].evidence != model::Evidence::kAtReset) {
    ++strap_changes_;
    if (firmware_.running())
      firmware_.log(EventCode::kStrapChanged, setup_.kit.board.straps[strap].index, now_);
  }
}

void Unit::reset() {
  history_.acted(now_);
  if (circuit_.levels().logic_mv > 0) start(ResetCause::kCommand);
}

bool Unit::answers() const {
  return firmware_.running() && circuit_.levels().logic_mv > 0;
}

Memory Unit::memory() const {
  return firmware_.memory();
}

std::vector<std::uint8_t> Unit::edid(std::size_t input) const {
  const auto& inputs = setup_.kit.board.inputs;
  if (input >= inputs.size() || inputs[input].edid == model::EdidOrigin::kNone) return {};
  const bool other = edid_panel_ && wrongs_.acts(Kind::kEdidOf);
  auto octets = other ? edid_of(*edid_panel_, timing_of(*edid_panel_), inputs[input].kind)
                      : edid_of(setup_.kit.panel, wanted_timing(setup_.kit), inputs[input].kind);
  constexpr std::size_t kBroken = 0x3A;  // in the first timing; the checksum says so
  if (octets.size() > kBroken && wrongs_.acts(Kind::kEdidCorrupt)) octets[kBroken] ^= 0x10U;
  return octets;
}

}  // namespace sim::unit
