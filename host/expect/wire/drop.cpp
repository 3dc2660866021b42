#include "host/expect/wire/drop.hpp"

#include <cmath>

namespace host::expect::wire {

Microhms side_by_side(const std::vector<Microhms>& wires, Microhms contact) {
  double conductance = 0;
  for (const Microhms wire : wires) {
    conductance += 1 / static_cast<double>(wire.count + 2 * contact.count);
  }
  return {wires.empty() ? 0 : static_cast<std::int64_t>(std::ceil(1 / conductance))};
}

model::Millivolts drop(model::Milliamps current, Microhms resistance) {
  return {(current.count * resistance.count + 999'999) / 1'000'000};
}

model::Millivolts at_load(model::Millivolts source, model::Milliwatts power, Microhms resistance) {
  const double volts = static_cast<double>(source.count) / 1e3;
  const double watts = static_cast<double>(power.count) / 1e3;
  const double ohms = static_cast<double>(resistance.count) / 1e6;
  const double root = volts * volts - 4 * ohms * watts;
  if (root < 0) return {0};
  return {static_cast<std::int64_t>((volts + std::sqrt(root)) / 2 * 1e3)};
}

}  // namespace host::expect::wire
