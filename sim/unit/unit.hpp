#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"
#include "protocol/base/time.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"
#include "sim/fault/fault.hpp"
#include "sim/unit/branch.hpp"
#include "sim/unit/circuit.hpp"
#include "sim/unit/firmware.hpp"
#include "sim/unit/history.hpp"
#include "sim/unit/memory.hpp"
#include "sim/unit/meter.hpp"
#include "sim/unit/receiver.hpp"
#include "sim/unit/sequence.hpp"
#include "sim/unit/settings.hpp"
#include "sim/unit/spread.hpp"
#include "sim/unit/strap_logic.hpp"
#include "sim/unit/truth.hpp"
#include "sim/unit/wrongs.hpp"

namespace sim::unit {

/// Where faults find other parts by their ids. A function that isn't set knows none.
struct Shelf {
  std::function<std::optional<host::model::Panel>(std::string_view id)> panel{};
  std::function<std::optional<host::model::Kit>(std::string_view id)> kit{};
};

/// How a unit was built and what is plugged into it. Its supply comes at Instant{}.
struct UnitSetup {
  host::model::Kit kit;
  Positions straps;  // one a strap of the board
  Settings settings;
  std::optional<host::model::Timing> source;  // into the input that `settings` selects
  std::string serial;
  std::uint64_t seed = 1;  // 0: nominal parts, exact readings
  Within within = Within::kTypical;
  std::optional<Memory> memory{};  // as it was kept; nothing: fresh from production, with `settings`
  Shelf shelf{};
};

/// What a point says: a number in its unit, a text, or why nothing.
using Value = std::variant<std::int64_t, std::string, protocol::points::Unread>;

/// What can be done to a unit: done, or one sentence on why not; then nothing was done.
using Done = tl::expected<void, std::string>;

/// One simulated unit: circuit, receiver, firmware and measuring channels under a virtual clock.
///
/// The same setup and the same calls give the same values on every run; how often it is looked at changes
/// nothing but the count of a reading's faults. Everything is done at the time last advanced to.
class Unit {
 public:
  explicit Unit(UnitSetup setup);
  Unit(const Unit&) = delete;
  Unit& operator=(const Unit&) = delete;

  /// Lives on until `until`, which never goes backwards.
  void advance(protocol::base::Instant until);

  // Causes.

  /// Makes something wrong; the same kind again replaces it. Errors   it can't apply to this kit, and why.
  [[nodiscard]] Done inject(const fault::Fault& fault);
  /// Makes it right again; what is destroyed stays so. Errors   there is no such fault in the unit.
  [[nodiscard]] Done mend(fault::Kind kind);
  [[nodiscard]] std::vector<ActiveFault> faults() const { return wrongs_.list(); }

  /// The supply's voltage without load; 0: off. Nothing: as the kit's supply makes it.
  void set_supply(std::optional<host::model::Millivolts> voltage);

  /// Plugs a source in, changes what it sends, or unplugs it.
  void connect_source(const std::optional<host::model::Timing>& source);

  /// Holds a key of the keypad down, counted from 1, until release(). Key 1 switches on and off, 2 and 3 turn
  /// brightness up and down by a tenth, 4 selects the next input; others do nothing.
  [[nodiscard]] Done press(int key);
  void release();

  void set_ambient(host::model::Millidegrees temperature);

  /// As its menu would: the names and values of with_setting().
  [[nodiscard]] Done set_setting(std::string_view key, std::string_view value);

  /// As a master that writes registers would: settings and stamp. What they may be stands in written.hpp.
  void keep(const Settings& settings, const Stamp& stamp);

  /// Moves a cap or switch. What the board reads only at a reset stays as it was.
  void move_strap(std::size_t strap, host::model::Position position);

  /// Resets the board's processor: outputs off, straps read again, boots.
  void reset();

  // What is so.

  /// The processor runs. One that doesn't answers nothing on its line.
  [[nodiscard]] bool answers() const;
  [[nodiscard]] Truth truth() const;
  /// Voltages and currents of the step that ended now.
  [[nodiscard]] const PowerSample& branches() const { return circuit_.sample(); }

  // What stays when the supply goes.

  [[nodiscard]] Memory memory() const;

  // What the board says.

  /// What the firmware says of a point now. kSnapshotGeneration and kSnapshotOwner belong to the registers.
  [[nodiscard]] Value value(protocol::points::Point point) const;

  /// The EDID that the input of this index answers with; empty where there is no such input.
  [[nodiscard]] std::vector<std::uint8_t> edid(std::size_t input) const;

  [[nodiscard]] const host::model::Kit& kit() const { return setup_.kit; }
  [[nodiscard]] const UnitSetup& setup() const { return setup_; }
  [[nodiscard]] protocol::base::Instant now() const { return now_; }
  [[nodiscard]] const Circuit& circuit() const { return circuit_; }
  [[nodiscard]] const Receiver& receiver() const { return receiver_; }
  [[nodiscard]] const Firmware& firmware() const { return firmware_; }
  [[nodiscard]] const Wrongs& wrongs() const { return wrongs_; }
  [[nodiscard]] const Intervals& intervals() const { return sequence_.intervals(); }
  [[nodiscard]] const Positions& straps_at_reset() const { return straps_at_reset_; }
  [[nodiscard]] Positions sensed() const;
  [[nodiscard]] int key_seen() const;  // 0: none
  [[nodiscard]] const Extremes& extremes(protocol::points::Point of) const;
  [[nodiscard]] std::int64_t measured(protocol::points::Point point, double value) const;
  [[nodiscard]] std::uint16_t changes() const;
  [[nodiscard]] std::uint16_t brown_outs() const { return brown_outs_; }
  [[nodiscard]] double board_degrees() const { return board_degrees_; }
  [[nodiscard]] double ambient_degrees() const { return ambient_degrees_; }
  [[nodiscard]] const History& history() const { return history_; }
  /// Steps the circuit has taken: what a day of virtual time costs.
  [[nodiscard]] std::uint64_t steps() const { return steps_; }

 private:
  struct Moved {
    std::size_t strap = 0;
    host::model::Position was;
  };

  void step(protocol::base::Instant to);
  void note();
  void warm(protocol::base::Duration passed);
  void follow_power();
  void start(ResetCause cause);
  void sample();
  void round();
  void read_straps();
  void see_source();
  void arrive(const fault::Fault& fault);
  void move_strap_live();

  UnitSetup setup_;
  Wrongs wrongs_;
  Circuit circuit_;
  Receiver receiver_;
  Firmware firmware_;
  SequenceWatch sequence_;
  Meter meter_;
  History history_;
  Positions straps_at_reset_;
  Selections wired_;  // what straps do to the hardware
  Plugged plugged_;
  std::optional<host::model::Panel> edid_panel_;  // whose EDID it answers with
  std::optional<Moved> doubled_, moved_;
  std::optional<Settings> kept_settings_;
  std::optional<protocol::base::Instant> strap_move_at_, off_since_;
  Extremes supply_, logic_, panel_, light_, keypad_;
  protocol::base::Instant now_{};
  protocol::base::Instant sample_due_{};
  double ambient_degrees_ = 25;
  double board_degrees_;
  std::uint64_t steps_ = 0;
  std::size_t seen_input_ = 0;
  int key_ = 0;  // held down; 0: none
  std::uint16_t brown_outs_ = 0;
  std::uint16_t strap_changes_ = 0;
  bool was_powered_ = false;
  bool was_brown_out_ = false;
};

}  // namespace sim::unit
