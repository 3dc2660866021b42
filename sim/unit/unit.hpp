#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"
#include "sim/unit/circuit.hpp"
#include "sim/unit/firmware.hpp"
#include "sim/unit/meter.hpp"
#include "sim/unit/receiver.hpp"
#include "sim/unit/sequence.hpp"
#include "sim/unit/settings.hpp"
#include "sim/unit/strap_logic.hpp"

namespace sim::unit {

/// How a unit was built and what is plugged into it. Its supply comes at Instant{}.
struct UnitSetup {
  host::model::Kit kit;
  Positions straps;  // one a strap of the board
  Settings settings;
  std::optional<host::model::Timing> source;
  std::string serial;
  std::uint64_t seed = 1;  // 0: nominal parts, exact readings
};

/// What a point says: a number in its unit, a text, or why nothing.
using Value = std::variant<std::int64_t, std::string, protocol::points::Unread>;

/// One simulated unit: circuit, receiver, firmware and measuring channels under a virtual clock.
///
/// The same setup and the same calls give the same values on every run; how often it is looked at changes
/// nothing.
class Unit {
 public:
  explicit Unit(UnitSetup setup);
  Unit(const Unit&) = delete;
  Unit& operator=(const Unit&) = delete;

  /// Lives on until `until`, which never goes backwards.
  void advance(protocol::base::Instant until);

  /// Plugs a source in, changes it, or unplugs it, at the time last advanced to.
  void connect_source(const std::optional<host::model::Timing>& source);

  /// Moves a cap or switch at the time last advanced to. What the board reads only at a reset stays as it
  /// was.
  void move_strap(std::size_t strap, host::model::Position position);

  /// What the firmware says of a point now. kSnapshotGeneration and kSnapshotOwner belong to the registers.
  [[nodiscard]] Value value(protocol::points::Point point) const;

  [[nodiscard]] const host::model::Kit& kit() const { return setup_.kit; }
  [[nodiscard]] const UnitSetup& setup() const { return setup_; }
  [[nodiscard]] protocol::base::Instant now() const { return now_; }
  [[nodiscard]] const Circuit& circuit() const { return circuit_; }
  [[nodiscard]] const Receiver& receiver() const { return receiver_; }
  [[nodiscard]] const Firmware& firmware() const { return firmware_; }
  [[nodiscard]] const Intervals& intervals() const { return sequence_.intervals(); }
  [[nodiscard]] const Positions& straps_at_reset() const { return straps_at_reset_; }
  [[nodiscard]] const Extremes& extremes(protocol::points::Point of) const;
  [[nodiscard]] std::int64_t measured(protocol::points::Point point, double value) const;
  [[nodiscard]] std::uint16_t changes() const;
  [[nodiscard]] std::uint16_t brown_outs() const { return brown_outs_; }
  [[nodiscard]] double board_degrees() const { return board_degrees_; }

 private:
  void step(protocol::base::Instant to);
  void sample();
  [[nodiscard]] Positions effective() const;

  UnitSetup setup_;
  Circuit circuit_;
  Receiver receiver_;
  Firmware firmware_;
  SequenceWatch sequence_;
  Meter meter_;
  Positions straps_at_reset_;
  Selections wired_;  // what straps do to the hardware
  Extremes supply_, logic_, panel_, light_, keypad_;
  protocol::base::Instant now_{};
  protocol::base::Instant sample_due_{};
  double board_degrees_;
  std::uint16_t brown_outs_ = 0;
  std::uint16_t strap_changes_ = 0;
  bool was_brown_out_ = false;
};

}  // namespace sim::unit
