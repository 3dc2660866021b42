#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::pdu {

/// A request as it stands on the wire between address and CRC: function code first, at most 253 octets.
/// Made only by the functions below, so it is always well formed. A plain value.
class Request {
 public:
  /// A read of no use; there so that a Request can stand in an array.
  constexpr Request() = default;

  [[nodiscard]] base::Octets octets() const { return {octets_.data(), size_}; }
  [[nodiscard]] FunctionCode function() const { return static_cast<FunctionCode>(octets_[0]); }

  /// The first register (or coil); for 2B/0E the object id; for 08 the sub-function.
  [[nodiscard]] std::uint16_t address() const;

  /// Registers read or written; for 05, 06 and 08 the value; for 2B/0E the ReadDevId code.
  [[nodiscard]] std::uint16_t count() const;

  /// A read of registers or of identification: an answer to it shows neither address nor sequence.
  [[nodiscard]] bool is_read() const;

 private:
  friend Request make_words(FunctionCode function, std::uint16_t first, std::uint16_t second);
  friend Request write_multiple_registers(std::uint16_t address, std::span<const std::uint16_t> words);
  friend Request read_device_identification(ReadDeviceId code, std::uint8_t object_id);

  std::array<std::uint8_t, kPduSizeMax> octets_{0x03, 0, 0, 0, 1};
  std::uint16_t size_ = 5;
};

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

/// 10. Precondition: 1 <= words.size() <= kWriteRegistersMax. Source  AP V1.1b3, 6.12.
[[nodiscard]] Request write_multiple_registers(std::uint16_t address, std::span<const std::uint16_t> words);

/// 2B/0E. `object_id` is where a stream begins, or the one object. Source  AP V1.1b3, 6.21.
[[nodiscard]] Request read_device_identification(ReadDeviceId code, std::uint8_t object_id);

}  // namespace protocol::pdu
