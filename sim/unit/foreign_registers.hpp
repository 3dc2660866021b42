#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "protocol/session/device.hpp"
#include "sim/unit/unit.hpp"

namespace sim::unit {

/// A unit as its registers show it where the board speaks no profile, but keeps its points where its file
/// says.
///
/// Of functions it has the reads of the tables its file names (01 to 04), and 08 and 2B/0E unless the file
/// says that it hasn't; it is never written to, so every other function answers exception 01. A readable
/// address without a point reads 0. What isn't known reads 0 as well (foreign_words.hpp).
class ForeignRegisters {
 public:
  /// `unit` outlives it and is advanced by the caller. Precondition: its board's profile is kOwn.
  explicit ForeignRegisters(const Unit& unit);

  /// Turns the request at the front of the room into its answer.
  ///
  /// Shape    as protocol::session::answer().
  /// Errors   exception 01: a function or table it hasn't; 03: a request of another length than its
  /// function's,
  ///          or more or less at once than it gives; 02: an address that can't be read.
  /// Source   MODBUS AP V1.1b3, 6.1 to 6.4, the order of the checks in their state diagrams.
  [[nodiscard]] std::size_t answer(protocol::base::OctetSink pdu, std::size_t size);

  /// Its port answers 08.
  [[nodiscard]] bool has_diagnostics() const { return unit_.kit().board.wire.diagnostics; }

 private:
  // What it says of itself, in the objects every identification has.
  class Nameplate final : public protocol::session::Device {
   public:
    Nameplate(std::string vendor, std::string product, std::string revision)
        : objects_{std::move(vendor), std::move(product), std::move(revision)} {}
    protocol::pdu::ExceptionCode read_registers(protocol::session::Table table, std::uint16_t address,
                                                protocol::base::WordSink words) override;
    protocol::pdu::ExceptionCode write_registers(std::uint16_t address, protocol::base::Words words) override;
    protocol::session::Object identification(std::uint8_t id) override;

   private:
    std::array<std::string, 3> objects_;
  };

  [[nodiscard]] std::size_t read(host::model::RegisterTable table, protocol::base::OctetSink pdu,
                                 std::size_t size) const;
  [[nodiscard]] bool readable(host::model::RegisterTable table, std::uint32_t address) const;
  [[nodiscard]] std::vector<std::uint16_t> cells(host::model::RegisterTable table, std::uint16_t address,
                                                 std::size_t count) const;

  const Unit& unit_;
  std::vector<host::model::ReadableRange> readable_;
  Nameplate nameplate_;
};

}  // namespace sim::unit
