#pragma once

#include <functional>
#include <string>

#include "sim/port/seat.hpp"
#include "sim/script/subject.hpp"
#include "sim/unit/registers.hpp"
#include "sim/unit/unit.hpp"

namespace sim::port {

/// One unit of the program: the unit, its registers, and its end of the line.
class Specimen final : public script::Subject {
 public:
  explicit Specimen(unit::UnitSetup setup);

  [[nodiscard]] tl::expected<void, std::string> perform(const script::Act& act) override;
  [[nodiscard]] unit::Value value(protocol::points::Point point) const override;
  [[nodiscard]] script::Eye eye() const override;
  void live_until(protocol::base::Instant until) override;

  [[nodiscard]] unit::Unit& unit() { return unit_; }
  [[nodiscard]] unit::Registers& registers() { return registers_; }
  /// Its end of the line; to be looked at again when it says changed.
  [[nodiscard]] line::StationFault line_fault() const { return line_fault_; }

 private:
  unit::Unit unit_;
  unit::Registers registers_;
  line::StationFault line_fault_;
};

/// A timing by its name, or nothing for "none". Errors   one sentence.
[[nodiscard]] tl::expected<std::optional<host::model::Timing>, std::string> source_named(
    const std::string& name);

}  // namespace sim::port
