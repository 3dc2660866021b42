#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::pdu {

/// One group of a 14: `count` registers of `file` from `record` on.
struct FileRecord {
  std::uint16_t file = 1;
  std::uint16_t record = 0;
  std::uint16_t count = 1;
};

/// A request as it stands on the wire between address and CRC: function code first, at most 253 octets.
/// Made only by the functions below, so it is always well formed. A plain value.
class Request {
 public:
  /// A read of no use; there so that a Request can stand in an array.
  constexpr Request() = default;

  [[nodiscard]] base::Octets octets() const { return {octets_.data(), size_}; }
  [[nodiscard]] FunctionCode function() const { return static_cast<FunctionCode>(octets_[0]); }

  /// The first register (or coil, or what 17 reads first); for 14 the first group's file; for 2B/0E the
  /// object id; for 08 the sub-function; for 11 nothing, 0.
  [[nodiscard]] std::uint16_t address() const;

  /// Registers or bits read or written; for 05, 06 and 08 the value; for 16 the mask that is ANDed; for 14
  /// the first group's record; for 2B/0E the ReadDevId code; for 11 and 18 nothing, 0.
  [[nodiscard]] std::uint16_t count() const;

  /// A read of whatever kind, 17 too: an answer to it shows neither address nor sequence.
  [[nodiscard]] bool is_read() const;

  /// Octets of the longest answer to it, function code included.
  [[nodiscard]] std::size_t answer_size_max() const;

 private:
  friend Request make_words(FunctionCode function, std::uint16_t first, std::uint16_t second);
  friend Request write_multiple_registers(std::uint16_t address, std::span<const std::uint16_t> words);
  friend Request read_device_identification(ReadDeviceId code, std::uint8_t object_id);
  friend Request write_multiple_coils(std::uint16_t address, std::uint16_t count, base::Octets packed);
  friend Request report_server_id();
  friend Request read_file_records(std::span<const FileRecord> groups);
  friend Request mask_write_register(std::uint16_t address, std::uint16_t and_mask, std::uint16_t or_mask);
  friend Request read_write_registers(std::uint16_t address, std::uint16_t count, std::uint16_t write_address,
                                      std::span<const std::uint16_t> words);
  friend Request read_fifo_queue(std::uint16_t address);

  std::array<std::uint8_t, kPduSizeMax> octets_{0x03, 0, 0, 0, 1};
  std::uint16_t size_ = 5;
};

/// 01 and 02. Precondition: 1 <= count <= kReadBitsMax. Source  AP V1.1b3, 6.1 and 6.2.
[[nodiscard]] Request read_coils(std::uint16_t address, std::uint16_t count);
[[nodiscard]] Request read_discrete_inputs(std::uint16_t address, std::uint16_t count);

/// 03 and 04. Precondition: 1 <= count <= kReadRegistersMax. Addresses are PDU addresses (number - 1).
/// Source  AP V1.1b3, 6.3 and 6.4.
[[nodiscard]] Request read_holding_registers(std::uint16_t address, std::uint16_t count);
[[nodiscard]] Request read_input_registers(std::uint16_t address, std::uint16_t count);

/// 05. Source  AP V1.1b3, 6.5.
[[nodiscard]] Request write_single_coil(std::uint16_t address, bool on);

/// 06. Source  AP V1.1b3, 6.6.
[[nodiscard]] Request write_single_register(std::uint16_t address, std::uint16_t word);

/// 08/00, return query data: the unit sends `word` back. Source  AP V1.1b3, 6.8.1.
[[nodiscard]] Request return_query_data(std::uint16_t word);

/// 08 with another sub-function: a counter's (0Bh..12h, the answer's second word is the count), 0Ah to clear
/// them, 01h to restart communications (`data` FF00h clears the log too). Precondition: not 04h, which is not
/// answered. Source  AP V1.1b3, 6.8.1.
[[nodiscard]] Request diagnose(std::uint16_t sub_function, std::uint16_t data = 0);

/// 10. Precondition: 1 <= words.size() <= kWriteRegistersMax. Source  AP V1.1b3, 6.12.
[[nodiscard]] Request write_multiple_registers(std::uint16_t address, std::span<const std::uint16_t> words);

/// 0F. `packed` holds the first coil in the lowest bit of its first octet; bits past `count` are sent as they
/// are. Precondition: 1 <= count <= kWriteBitsMax, packed.size() == (count + 7) / 8. Source  AP V1.1b3, 6.11.
[[nodiscard]] Request write_multiple_coils(std::uint16_t address, std::uint16_t count, base::Octets packed);

/// 11. Source  AP V1.1b3, 6.13.
[[nodiscard]] Request report_server_id();

/// 14. Precondition: 1..35 groups, each with file >= 1, record <= kFileRecordMax, count >= 1, and an answer
/// (two octets a group, two a register) of at most kFileDataMax octets. Source  AP V1.1b3, 6.14.
[[nodiscard]] Request read_file_records(std::span<const FileRecord> groups);

/// 16: the register becomes (register AND and_mask) OR (or_mask AND NOT and_mask). Source  AP V1.1b3, 6.16.
[[nodiscard]] Request mask_write_register(std::uint16_t address, std::uint16_t and_mask,
                                          std::uint16_t or_mask);

/// 17: `words` are written at `write_address`, then `count` registers read from `address` on.
/// Precondition: 1 <= count <= kReadRegistersMax, 1 <= words.size() <= kReadWriteRegistersMax.
/// Source  AP V1.1b3, 6.17.
[[nodiscard]] Request read_write_registers(std::uint16_t address, std::uint16_t count,
                                           std::uint16_t write_address, std::span<const std::uint16_t> words);

/// 18. Source  AP V1.1b3, 6.18.
[[nodiscard]] Request read_fifo_queue(std::uint16_t address);

/// 2B/0E. `object_id` is where a stream begins, or the one object. Source  AP V1.1b3, 6.21.
[[nodiscard]] Request read_device_identification(ReadDeviceId code, std::uint8_t object_id);

}  // namespace protocol::pdu
