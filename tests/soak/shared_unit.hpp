#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "protocol/session/device.hpp"
#include "sim/unit/registers.hpp"
#include "tests/soak/dice.hpp"

namespace tests::soak {

/// A simulated unit at a gateway: between two requests of ours another master, of whom nothing is heard here,
/// may latch as well, with the unit no longer what it was: a strap moved, in one case of four the board
/// reset. Every image that was latched is kept, to compare with.
class SharedUnit final : public protocol::session::Device {
 public:
  using Code = protocol::pdu::ExceptionCode;
  using Table = protocol::session::Table;

  /// What others do: how often, in 1/65536 of the requests of registers, and what they move.
  struct Others {
    std::uint16_t chance = 0;
    std::size_t strap = 0;
    host::model::Position one{}, other{};
  };

  /// `unit` outlives it.
  SharedUnit(sim::unit::Unit& unit, const Others& others, std::uint64_t seed);

  Code read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) override;
  Code write_registers(std::uint16_t address, protocol::base::Words words) override;
  Code read_file(std::uint16_t file, std::uint16_t record, protocol::base::WordSink words) override {
    return registers_->read_file(file, record, words);
  }
  protocol::session::Object identification(std::uint8_t id) override {
    return registers_->identification(id);
  }

  /// The image that was latched as this generation by this owner; nullptr where none was.
  [[nodiscard]] const std::vector<std::uint16_t>* latched(std::uint16_t generation,
                                                          std::uint16_t owner) const;
  /// Before another set is asked for: what was latched is forgotten.
  void forget() { latched_.clear(); }

 private:
  void disturb();
  void keep();

  sim::unit::Unit& unit_;
  Others others_;
  Dice dice_;
  std::optional<sim::unit::Registers> registers_;  // anew with each reset: what was latched goes with it
  std::map<std::pair<std::uint16_t, std::uint16_t>, std::vector<std::uint16_t>> latched_;
};

}  // namespace tests::soak
