// What can be done to a unit from outside.

#include "sim/unit/applies.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

namespace model = host::model;

Done Unit::inject(const fault::Fault& fault) {
  if (auto why = why_not(setup_.kit, fault); !why.empty()) {
    return tl::unexpected(std::string{fault::name(fault.kind)} + ": " + why);
  }
  wrongs_.add(fault);
  circuit_.disturb();
  return {};
}

Done Unit::mend(fault::Kind kind) {
  if (!wrongs_.remove(kind)) return tl::unexpected(std::string{fault::name(kind)} + " isn't in this unit");
  circuit_.disturb();
  return {};
}

void Unit::set_supply(std::optional<model::Millivolts> voltage) {
  circuit_.set_supply(voltage ? std::optional{static_cast<double>(voltage->count)} : std::nullopt);
}

Done Unit::press(int key) {
  if (!setup_.kit.keypad) return tl::unexpected(std::string{"this unit has no keypad"});
  if (key < 1 || key > setup_.kit.keypad->keys) {
    return tl::unexpected("this keypad has keys 1 to " + std::to_string(setup_.kit.keypad->keys));
  }
  key_ = key;
  circuit_.disturb();
  return {};
}

void Unit::release() {
  key_ = 0;
  circuit_.disturb();
}

void Unit::set_ambient(model::Millidegrees temperature) {
  ambient_degrees_ = static_cast<double>(temperature.count) / 1'000;
}

Done Unit::set_setting(std::string_view key, std::string_view value) {
  const auto changed = with_setting(setup_.kit, firmware_.settings(), key, value);
  if (!changed) return tl::unexpected(changed.error());
  firmware_.set_settings(*changed);
  circuit_.disturb();
  return {};
}

void Unit::reset() {
  straps_at_reset_ = setup_.straps;
  wired_ = resolve(setup_.kit, effective());
  firmware_.straps_changed(wired_);
  firmware_.power_up(now_);
  circuit_.disturb();
}

bool Unit::answers() const {
  return firmware_.running() && circuit_.levels().logic_mv > 0;
}

Truth Unit::truth() const {
  Truth truth;
  const auto& straps = setup_.kit.board.straps;
  for (std::size_t i = 0; i < straps.size(); ++i) {
    truth.straps.emplace_back(straps[i].id, model::to_text(straps[i], setup_.straps[i]));
  }
  truth.faults = wrongs_.list();
  truth.when = "always";
  if (circuit_.panel().damaged()) truth.damaged.emplace_back("panel logic");
  if (circuit_.light().damaged()) truth.damaged.emplace_back("backlight driver");
  return truth;
}

Memory Unit::memory() const {
  Memory memory = setup_.memory.value_or(Memory{});
  memory.settings = firmware_.settings();
  return memory;
}

std::vector<std::uint8_t> Unit::edid(std::size_t) const {
  return {};
}

}  // namespace sim::unit
