#pragma once

#include <cstdint>
#include <string_view>

#include "protocol/base/bytes.hpp"
#include "protocol/base/words.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::session {

/// The two register tables. Source  AP V1.1b3, 4.3.
enum class Table : std::uint8_t { kHolding, kInput };

/// What stands in a FIFO queue: the exception, or how many words were filled in.
struct Queued {
  pdu::ExceptionCode exception = pdu::ExceptionCode::kNone;
  std::uint8_t count = 0;
};

/// One identification object: its text, or that there is no such object.
struct Object {
  bool present = false;
  std::string_view text{};
};

/// What a unit is, behind its server: registers, files and identification. Implemented by a board's firmware
/// and by the simulator. Words are read and written where they stand in the frame, so nothing is copied.
///
/// Coils and discrete inputs are no data of their own but views of the registers: coil 16 n + b is bit b (0
/// the lowest) of holding register n, discrete input 16 n + b the same of input register n. A coil written is
/// its register read, changed and written.
///
/// Each function checks the address range first (illegal_data_address), then does its work
/// (server_device_failure, server_device_busy, illegal_data_value when the board refuses the value) and
/// returns none when it did. Quantities have been checked before it is called. What it leaves in `words` when
/// it refuses is thrown away. `address` is the PDU address; a range may run past FFFFh, which is
/// illegal_data_address.
class Device {
 public:
  Device(const Device&) = delete;
  Device& operator=(const Device&) = delete;

  /// Fills `words`, 1..125 of them, from `table` at `address`.
  [[nodiscard]] virtual pdu::ExceptionCode read_registers(Table table, std::uint16_t address,
                                                          base::WordSink words) = 0;

  /// Writes 1..124 holding registers at `address`: all of them, or none and an exception.
  [[nodiscard]] virtual pdu::ExceptionCode write_registers(std::uint16_t address, base::Words words) = 0;

  /// The identification object `id`. At most 244 octets are sent. The text stays valid until the next call.
  [[nodiscard]] virtual Object identification(std::uint8_t id) = 0;

  /// Fills `words`, 1..121 of them, from `record` of `file` on: an event log, an EDID. A unit without files
  /// leaves this alone. memory_parity_error where the store is broken.
  [[nodiscard]] virtual pdu::ExceptionCode read_file(std::uint16_t file, std::uint16_t record,
                                                     base::WordSink words) {
    (void)file, (void)record, (void)words;
    return pdu::ExceptionCode::kIllegalFunction;
  }

  /// Copies the queue at `address` into `words`, of which there are kFifoWordsMax, oldest first, and leaves
  /// it as it is. A queue of more words than there is room for is illegal_data_value. A unit without queues
  /// leaves this alone.
  [[nodiscard]] virtual Queued read_fifo(std::uint16_t address, base::WordSink words) {
    (void)address, (void)words;
    return {pdu::ExceptionCode::kIllegalFunction, 0};
  }

  /// What 11 tells: the id, the run indicator (FFh on, 00h off) and whatever the maker adds; at most 251
  /// octets are sent. Empty: the unit has no such function.
  [[nodiscard]] virtual base::Octets server_id() { return {}; }

 protected:
  Device() = default;
  // Not virtual: nobody deletes through this interface, and a virtual one would ask for operator delete.
  ~Device() = default;
};

}  // namespace protocol::session
