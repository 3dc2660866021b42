#include "host/expect/rail_plan.hpp"

#include "host/expect/phrases.hpp"

namespace host::expect {

RailVoltage rail_voltage(const model::Kit& kit, const model::Rail& rail, model::Millivolts choice) {
  RailVoltage voltage;
  if (rail.origin == model::RailOrigin::kPassedThrough) {
    const auto& supply = kit.supply.voltage;
    voltage.nominal = supply.nominal.value_or(choice);
    voltage.min = supply.min.value_or(voltage.nominal);
    voltage.max = supply.max.value_or(voltage.nominal);
    voltage.passed_through = true;
    voltage.why = phrase("passed through from the supply, ", limits_text(kit.supply.voltage));
    return voltage;
  }
  const model::Millivolts half_width = share_of(choice, rail.tolerance);
  voltage.nominal = choice;
  voltage.min = choice - half_width;
  voltage.max = choice + half_width;
  const model::Bounds<model::Millivolts> range{voltage.min, {}, voltage.max};
  voltage.why = phrase(to_text(choice), " ±", to_text(rail.tolerance), " = ", limits_text(range));
  return voltage;
}

std::optional<RailVoltage> rail_voltage(const model::Kit& kit, const model::Rail& rail,
                                        const std::optional<model::Millivolts>& choice) {
  if (choice) return rail_voltage(kit, rail, *choice);
  if (rail.origin == model::RailOrigin::kPassedThrough) return rail_voltage(kit, rail, model::Millivolts{});
  if (rail.choices.size() == 1) return rail_voltage(kit, rail, rail.choices.front());
  return std::nullopt;
}

}  // namespace host::expect
