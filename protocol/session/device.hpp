#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "protocol/pdu/function.hpp"

namespace protocol::session {

/// The two register tables. Source  AP V1.1b3, 4.3.
enum class Table : std::uint8_t { kHolding, kInput };

/// What a unit is, behind its server: registers, coils and identification. Implemented by a board's
/// firmware and by the simulator.
///
/// Each function checks the address range first (illegal_data_address), then does its work
/// (server_device_failure, server_device_busy, illegal_data_value when the board refuses the value) and
/// returns none when it did. Quantities have been checked before it is called.
/// `address` is the PDU address; a range may run past FFFFh, which is illegal_data_address.
class Device {
 public:
  Device(const Device&) = delete;
  Device& operator=(const Device&) = delete;

  /// Fills `words`, 1..125 of them, from `table` at `address`.
  [[nodiscard]] virtual pdu::ExceptionCode read_registers(Table table, std::uint16_t address,
                                                          std::span<std::uint16_t> words) = 0;

  /// Writes 1..123 holding registers at `address`: all of them, or none and an exception.
  [[nodiscard]] virtual pdu::ExceptionCode write_registers(std::uint16_t address,
                                                           std::span<const std::uint16_t> words) = 0;

  /// Switches one coil.
  [[nodiscard]] virtual pdu::ExceptionCode write_coil(std::uint16_t address, bool on) = 0;

  /// The identification object `id`, or nothing when there is none. At most 244 octets are sent. The text
  /// stays valid until the next call.
  [[nodiscard]] virtual std::optional<std::string_view> identification(std::uint8_t id) = 0;

 protected:
  Device() = default;
  // Not virtual: nobody deletes through this interface, and a virtual one would ask for operator delete.
  ~Device() = default;
};

}  // namespace protocol::session
